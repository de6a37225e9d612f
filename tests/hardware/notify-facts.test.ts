import { describe, expect, it } from 'vitest';
import type { Clock } from '../../controller/clock.ts';
import { Engine, type EngineParts } from '../../controller/engine.ts';
import { mayFeed, type TickFacts } from '../../controller/notify.ts';
import type { Rig } from '../../controller/rig/rig.ts';
import { SimulatedRig } from '../../controller/rig/simulated.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState } from '../../controller/tick/state.ts';
import { hutSpec } from '../../shared/bath/plant.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { say } from '../control/cook.ts';

/** The engine's own loop body on a simulated bath whose board may be deaf to leases while its link looks alive. */
function engineOn(board: { answers: boolean; probe: boolean }) {
  const checked = checkConfig({});
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  let nowMs = 0;
  const clock: Clock = {
    monotonicMs: () => nowMs,
    wallMs: () => Date.UTC(2026, 10, 20, 19) + nowMs,
    wallTrusted: () => true,
  };
  const bath = new SimulatedRig({ spec: hutSpec(), plant: null, seed: 1, nowMs: 0, text: 'bench' });
  const rig: Rig = {
    kind: 'usb',
    text: 'bench',
    plant: null,
    read(at) {
      const seen = bath.read(at);
      const lost = { ...seen.readings.bath, celsius: null, quality: 'absent' as const };
      return board.probe ? seen : { ...seen, readings: { ...seen.readings, bath: lost } };
    },
    heat: (lease, at, standBy) => bath.heat(lease, at, standBy),
    leaseAnswered: () => board.answers,
    follow: () => undefined,
    close: async () => undefined,
  };
  const journal = {
    onCommitted: () => undefined,
    write: () => undefined,
    lagMs: () => 0,
    snapshot: () => undefined,
  };
  const seen: TickFacts[] = [];
  const engine = new Engine({
    ...{ clock, rig, state: startState(settingsFrom(checked.config, 'test')), lastSequence: 0 },
    ...{ restart: null, knownCooks: [], calls: null },
    journal: journal as unknown as EngineParts['journal'],
    afterTick: (facts) => seen.push(facts),
  });
  const run = (seconds: number): TickFacts => {
    for (let s = 0; s < seconds; s++) {
      nowMs += 1000;
      engine.step();
    }
    return seen.at(-1)!;
  };
  return { engine, run };
}

describe('what the loop tells the watchdog', () => {
  it('is the answer to the lease of the tick before, not that the link looks alive', () => {
    const board = { answers: true, probe: true };
    const { engine, run } = engineOn(board);
    void engine.submit(say.start(60)).catch(() => undefined);
    expect(run(20)).toEqual({ freshReading: true, leaseAsked: true, leaseAnswered: true });
    board.answers = false;
    const deaf = run(5);
    expect(deaf).toEqual({ freshReading: true, leaseAsked: true, leaseAnswered: false });
    expect(mayFeed(true, deaf)).toBe(false);
  });

  it('is no fresh reading while the bath probe is lost, and then no lease was asked for either', () => {
    const board = { answers: true, probe: true };
    const { engine, run } = engineOn(board);
    void engine.submit(say.start(60)).catch(() => undefined);
    run(20);
    board.probe = false;
    const blind = run(8);
    expect(blind).toMatchObject({ freshReading: false, leaseAsked: false });
    expect(mayFeed(true, blind)).toBe(false);
  });
});
