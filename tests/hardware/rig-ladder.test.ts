import { describe, expect, it } from 'vitest';
import {
  climb,
  LADDER_MS,
  type LadderAction,
  type LadderEvent,
  PATIENCE_MS,
  SILENT_MS,
  startLadder,
} from '../../controller/rig/usb/ladder.ts';
import type { RigFault } from '../../controller/rig/usb/view.ts';

/** Drives the ladder with a child that reports every 250 ms while `childLives`. */
function climber() {
  let nowMs = 0;
  let state = startLadder(0);
  const actions: [number, LadderAction][] = [];
  const rungs: string[] = [];
  const step = (event: LadderEvent) => {
    const result = climb(state, event, nowMs);
    if (result.state.rung !== state.rung) rungs.push(result.state.rung);
    if (result.action !== 'none') actions.push([nowMs, result.action]);
    state = result.state;
  };
  return {
    actions,
    rungs,
    state: () => state,
    step,
    pass(ms: number, childLives: boolean, boardSpeaks = false, fault: RigFault | null = null) {
      for (const untilMs = nowMs + ms; nowMs < untilMs; ) {
        nowMs += 250;
        if (childLives)
          step({ kind: 'view', boardMs: boardSpeaks ? nowMs : null, ready: boardSpeaks, fault });
        step({ kind: 'tick' });
      }
    },
  };
}

describe('ladder for a mute board', () => {
  it('does nothing while the board speaks', () => {
    const one = climber();
    one.pass(60_000, true, true);
    expect(one.actions).toEqual([]);
    expect(one.state().rung).toBe('ready');
  });

  it('waits first, then resets, then reopens with new objects, then replaces the child, then gives up', () => {
    const one = climber();
    one.pass(2000, true, true);
    one.pass(120_000, true);
    expect(one.rungs.slice(0, 5)).toEqual(['ready', 'retry', 'reset', 'reopen', 'replace']);
    expect(one.actions.map(([, action]) => action).slice(0, 5)).toEqual([
      'reset',
      'reopen',
      'replace',
      'replace',
      'replace',
    ]);
    expect(one.state().rung).toBe('given-up');
    expect(one.state().fault?.code).toBe('rig-mute');
    expect(LADDER_MS).toBe(67_000);
    expect(one.actions[4]![0] + PATIENCE_MS.replace).toBeLessThanOrEqual(2000 + LADDER_MS + 5 * 250 + 250);
  });

  it('climbs no further once the board speaks again, from every rung, and begins at the foot the next time', () => {
    const patience = [
      SILENT_MS,
      PATIENCE_MS.retry,
      PATIENCE_MS.reset,
      PATIENCE_MS.reopen,
      PATIENCE_MS.replace,
    ];
    patience.forEach((_, rung) => {
      const one = climber();
      one.pass(1000, true, true);
      const mute = patience.slice(0, rung + 1).reduce((sum, ms) => sum + ms, 0) + 500 * (rung + 1);
      one.pass(mute, true);
      expect(one.state().rung).not.toBe('ready');
      const done = one.actions.length;
      one.pass(30_000, true, true);
      expect(one.state()).toMatchObject({ rung: 'ready', replaced: 0, fault: null });
      expect(one.actions.length).toBe(done);
      one.pass(SILENT_MS + 500, true);
      expect(one.state().rung).toBe('retry');
    });
  });

  it('replaces a child that is itself silent within 5 s, without the rungs that only it could carry out', () => {
    const one = climber();
    one.pass(10_000, true, true);
    one.pass(5000, false);
    expect(one.actions.map(([, action]) => action)).toEqual(['replace']);
    expect(one.actions[0]![0]).toBeLessThanOrEqual(15_000);
  });

  it('replaces a child that ended, at once, and keeps why', () => {
    const one = climber();
    one.pass(1000, true, true);
    one.step({ kind: 'child-gone', why: 'It ended (SIGKILL).' });
    expect(one.actions.map(([, action]) => action)).toEqual(['replace']);
    expect(one.state().fault).toEqual({ code: 'rig-child-lost', detail: 'It ended (SIGKILL).' });
  });

  it('tries a board it has given up once a minute, and no more often', () => {
    const one = climber();
    one.pass(200_000, true);
    expect(one.state().rung).toBe('given-up');
    const before = one.actions.length;
    one.pass(600_000, true);
    expect(one.actions.length - before).toBeLessThanOrEqual(10);
    expect(one.actions.length - before).toBeGreaterThanOrEqual(9);
  });

  it('keeps the words of the port, such as permission denied, rather than call the board mute', () => {
    const one = climber();
    one.pass(200_000, true, false, {
      code: 'rig-port-denied',
      detail: 'Port /dev/ttyACM0: Permission denied.',
    });
    expect(one.state().fault?.code).toBe('rig-port-denied');
  });
});
