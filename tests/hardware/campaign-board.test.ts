import { describe, expect, it } from 'vitest';
import { type CampaignFault, FAULTS } from './campaign-faults.ts';
import { repeatLine, runFault, runMoment } from './campaign-moments.ts';
import { pass, sceneAt } from './campaign-scene.ts';

const MOMENTS = 30;

describe('heat is off in time whatever fails, by the firmware image in the emulator', () => {
  it.each(FAULTS.map((fault) => [fault.title, fault] as const))('%s', (_title, fault) => {
    const summary = runFault(fault, MOMENTS, 1);
    expect(summary.failures.map((outcome) => repeatLine(summary, outcome))).toEqual([]);
    expect(summary.worstMs).toBeLessThanOrEqual(fault.boundMs);
  });
});

describe('the campaign itself', () => {
  const bothWelded: CampaignFault = {
    name: 'bothWelded',
    title: 'both switches welded',
    boundMs: 2000,
    expected: ['lease ran out'],
    strike(scene) {
      scene.board.faults.weldSwitch('regulating');
      scene.board.faults.weldSwitch('guard');
      scene.host.state.renewing = false;
      return scene.board.nowMs;
    },
  };

  it('reports a circuit that stays closed, with the seed that repeats it', () => {
    const summary = runFault(bothWelded, 2, 40);
    expect(summary.failures.map((outcome) => repeatLine(summary, outcome))).toEqual([
      expect.stringMatching(/still closed.*--seed 40 /),
      expect.stringMatching(/still closed.*--seed 41 /),
    ]);
  });

  it('reports the right time for the wrong reason', () => {
    const silent = FAULTS.find(({ name }) => name === 'hostSilent')!;
    expect(runMoment({ ...silent, expected: ['watchdog'] }, 1).wrong).toMatch(/caught by "lease ran out"/);
  });

  it('repeats a moment to the cycle from its seed', () => {
    const stalled = FAULTS.find(({ name }) => name === 'usbStalled')!;
    expect(runMoment(stalled, 12)).toEqual(runMoment(stalled, 12));
  });

  it('keeps heat on when nothing fails', () => {
    const scene = sceneAt(5);
    scene.board.switches.drain();
    pass(scene, 20_000);
    expect(scene.board.switches.state.edges).toEqual([]);
    expect(scene.board.heaterClosed).toBe(true);
  });

  it('does deliver the leases a stalled cable held back, and the board refuses them by their age', () => {
    const scene = sceneAt(9);
    scene.board.faults.stallUsb();
    pass(scene, 5000);
    scene.host.state.renewing = false;
    scene.host.state.refusals = [];
    scene.board.faults.releaseUsb();
    pass(scene, 1000);
    // Answer codes of PROTOCOL.md: nonce no longer kept, stale, spent.
    expect(scene.host.state.refusals.length).toBeGreaterThanOrEqual(5);
    expect(scene.host.state.refusals.filter((code) => ![5, 6, 7].includes(code))).toEqual([]);
    expect(scene.board.heaterClosed).toBe(false);
  });
});
