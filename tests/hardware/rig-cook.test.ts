import { describe, expect, it } from 'vitest';
import { say } from '../control/cook.ts';
import { boardCook } from './rig-bench.ts';

const HOLD_S = 30 * 60;
/** Until the cold bag has taken its first heat from the water. */
const SETTLE_S = 10 * 60;

describe('a cook through johnny-five, Firmata, the flashed program and 1-Wire bits', () => {
  it('holds the true water within 0.3 K for half an hour, with food in from the cold, in lockstep', async () => {
    const cook = await boardCook(60);
    cook.run(3);
    cook.say(say.start(60));
    cook.run(60);
    cook.say(say.bagIn('lamb-1', 'lamb-shoulder', 55, 1.1));
    cook.run(SETTLE_S);
    let lowest = 100;
    let highest = 0;
    const closedBefore = cook.board.heaterClosedMs;
    cook.run(HOLD_S, () => {
      lowest = Math.min(lowest, cook.waterC());
      highest = Math.max(highest, cook.waterC());
    });
    expect(lowest).toBeGreaterThan(60 - 0.3);
    expect(highest).toBeLessThan(60 + 0.3);
    // Held by heat, not by luck; each lease was answered and the board latched nothing.
    expect(cook.board.heaterClosedMs - closedBefore).toBeGreaterThan(60_000);
    expect(cook.inputs.filter(({ board }) => board.leaseRefused !== null || board.link === 'down')).toEqual(
      [],
    );
    expect(cook.inputs.every(({ board }) => board.latched === null)).toBe(true);
    await cook.rig.close();
    expect(cook.board.heaterClosed).toBe(false);
  }, 300_000);
});
