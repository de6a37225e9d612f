import { describe, expect, it } from 'vitest';
import { coreBagOf } from '../../controller/core-bag.ts';
import { mayFeed } from '../../controller/notify.ts';
import { BATH_PROBE_ROMS } from '../../hardware/emulator/index.ts';
import { limitsFrame } from '../../shared/wire/board.ts';
import { say } from '../control/cook.ts';
import { boardCook, boardRig } from './rig-bench.ts';

/** A rig whose lease can be asked for by hand, second after second. */
async function byHand() {
  const { rig, bath } = await boardRig(40);
  let nowMs = 3000;
  rig.read(nowMs);
  const second = (heat: boolean) => {
    nowMs += 1000;
    const { board, readings } = rig.read(nowMs);
    const answered = rig.leaseAnswered();
    rig.heat(heat ? { ms: 1600 } : null, nowMs);
    return { answered, board, fresh: readings.bath.quality === 'good' };
  };
  return { second, bath };
}

describe('the answer to a lease', () => {
  it('is there a tick after each lease, and is not there where none was sent', async () => {
    const { second } = await byHand();
    second(true);
    for (let s = 0; s < 5; s++) expect(second(true).answered).toBe(true);
    expect(second(false).answered).toBe(true);
    expect(second(false).answered).toBe(false);
  });

  it('is missing while the cable carries the board to us but not us to the board, and the watchdog starves', async () => {
    const { second, bath } = await byHand();
    for (let s = 0; s < 3; s++) second(true);
    // Nothing we write arrives; what the board says still does.
    bath.board.link.write = () => true;
    second(true);
    for (let s = 0; s < 5; s++) {
      const { answered, board, fresh } = second(true);
      expect(answered).toBe(false);
      // The link itself looks alive: that alone must not feed.
      expect(board.link).toBe('up');
      expect(mayFeed(true, { freshReading: fresh, leaseAsked: true, leaseAnswered: answered })).toBe(false);
    }
    expect(bath.board.heaterClosed).toBe(false);
  });

  it('is there for a lease that was refused: that is a matter for a person, not for a restart', async () => {
    const { second, bath } = await byHand();
    for (let s = 0; s < 3; s++) second(true);
    bath.board.waterPresent = false;
    const seen = [1, 2, 3, 4].map(() => second(true));
    expect(seen.some(({ answered, board }) => answered && board.leaseRefused !== null)).toBe(true);
  });
});

describe('limits of another host on the same board', () => {
  it('end our leases, and are replaced by ours before heat comes again', async () => {
    const cook = await boardCook(40);
    cook.run(3);
    cook.say(say.start(60));
    for (let s = 0; s < 60 && !cook.board.heaterClosed; s++) cook.run(1);
    expect(cook.board.heaterClosed).toBe(true);
    const theirs = {
      bathRom: [...BATH_PROBE_ROMS.bath],
      maxCode: 95 * 16,
      maxHeatS: 21_600,
      silenceMs: 3500,
    };
    cook.board.link.write(limitsFrame(9, theirs));
    // Longest until the next tick's lease under the old session is refused and ours are set and read back.
    cook.run(12);
    const beforeMs = cook.board.heaterClosedMs;
    cook.run(60);
    expect(cook.board.heaterClosedMs - beforeMs).toBeGreaterThan(5000);
    expect(cook.inputs.at(-1)!.board).toMatchObject({ link: 'up', latched: null, leaseRefused: null });
  });
});

describe('the core probe', () => {
  it('is in the same bag after a restart: its readings go to the bag whose cold spot was named last', async () => {
    const cook = await boardCook(60);
    cook.run(3);
    cook.say(say.start(60));
    for (const id of ['lamb-1', 'lamb-2', 'pork-1']) cook.say(say.bagIn(id, 'lamb-shoulder', 55, 1.1));
    const spot = (bagId: string) =>
      cook.say({
        kind: 'cold-spot',
        id: `c-${bagId}`,
        by: 'Hut phone',
        bagId,
        how: 'lowest of three places',
      });
    spot('lamb-1');
    cook.run(2);
    spot('lamb-2');
    expect(coreBagOf(cook.state())).toBe('lamb-2');
    cook.say(say.bagOut('lamb-2'));
    expect(coreBagOf(cook.state())).toBe('lamb-1');
    cook.say(say.bagOut('lamb-1'));
    expect(coreBagOf(cook.state())).toBeNull();
    const { rig } = await boardRig(60, { coreByHand: true });
    rig.read(3000);
    expect(rig.read(4000).readings.cores).toEqual([]);
    rig.recallCore('lamb-1');
    expect(rig.read(5000).readings.cores).toMatchObject([{ bagId: 'lamb-1', reading: { quality: 'good' } }]);
  });
});
