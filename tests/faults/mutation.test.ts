import { describe, expect, it } from 'vitest';
import { type Finding, quiet } from '../../controller/tick/alarm/step.ts';
import { CHECKS } from '../../controller/tick/supervise/all.ts';
import type { Context } from '../../controller/tick/supervise/context.ts';
import { CAUGHT_BY } from './caught-by.ts';
import { runFault } from './fault-run.ts';
import { kindOf } from './kinds.ts';
import { LOOSENED } from './loosened.ts';
import { failed, summaryOf } from './summary.ts';

type Check = (context: Context) => Finding;

/** The list that the tick runs through, to be changed under its hands. */
const checks = CHECKS as Check[];
const SEEDS = [1, 2, 3];
const QUARTER_S = 900;

/** Whether the campaign fails on this kind: a limit that nothing excuses, or an excused one below its floor. */
function fails(kindId: string): boolean {
  const kind = kindOf(kindId);
  const results = [];
  for (const seed of SEEDS) {
    const result = runFault(kind, seed);
    if (failed(kind, result)) return true;
    results.push(result);
    if (!kind.excuses) continue;
    // A share that cannot reach its floor any more is below it.
    const most = summaryOf(kind, results).excused.map(({ share, floor }) => {
      const kept = share * results.length + (SEEDS.length - results.length);
      return kept / SEEDS.length < floor;
    });
    if (most.includes(true)) return true;
  }
  return false;
}

function mutated<T>(at: number, check: Check | null, run: () => T): T {
  const original = checks[at]!;
  if (check) checks[at] = check;
  else checks.splice(at, 1);
  try {
    return run();
  } finally {
    if (check) checks[at] = original;
    else checks.splice(at, 0, original);
  }
}

/** The check, looking away until what it sees has lasted so long. */
function late(check: Check, lateS: number): Check {
  let sinceS = Number.POSITIVE_INFINITY;
  return (context) => {
    const found = check(context);
    const { clockS } = context.state;
    const seen = found.active === true || found.heatOff;
    sinceS = seen ? Math.min(sinceS, clockS) : Number.POSITIVE_INFINITY;
    return seen && clockS - sinceS < lateS ? quiet(found.alarmId) : found;
  };
}

describe('every check is needed', () => {
  it('and has a kind of fault that shows it', () => {
    expect(checks.map((check) => check.name).sort()).toEqual(Object.keys(CAUGHT_BY).sort());
  });

  for (const [at, check] of [...checks].entries()) {
    const [kind = '', lateS = QUARTER_S] = CAUGHT_BY[check.name] ?? [];
    it(`the campaign fails on "${kind}" once ${check.name} is removed, late or loosened, and not before`, () => {
      expect(fails(kind), 'as it is').toBe(false);
      expect(
        mutated(at, null, () => fails(kind)),
        'removed',
      ).toBe(true);
      if (lateS !== null) {
        expect(
          mutated(at, late(check, lateS), () => fails(kind)),
          `late by ${lateS} s`,
        ).toBe(true);
      }
      const loosened = LOOSENED[check.name];
      expect(lateS !== null || loosened !== undefined, 'late, or its threshold moved').toBe(true);
      if (loosened === undefined) return;
      expect(
        mutated(
          at,
          (context) => check(loosened.shown(context)),
          () => fails(kind),
        ),
        loosened.moved,
      ).toBe(true);
    });
  }
});
