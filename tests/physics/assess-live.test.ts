import { describe, expect, it } from 'vitest';
import { leastLog10, metAtS } from '../../controller/tick/estimate/bag.ts';
import type { TickState } from '../../controller/tick/state.ts';
import { trackVerdicts } from '../../shared/hazard/track-verdicts.ts';
import { command, type Probed, probed, type Shows } from '../control/probed.ts';
import { assessed } from '../serve/assess-run.ts';

/**
 * One log with readings of the core, once through the controller's ticks and once through `assess`: one judgement.
 * Invented pork neck of 60 mm in water of 62 C; what the probe shows is told relative to the model's coldest case.
 */
interface Told {
  readonly what: string;
  /** What the probe shows from so many hours on. */
  readonly shows: readonly (readonly [hours: number, shows: Shows])[];
  readonly hours: number;
  /** How the cold spot was searched before. */
  readonly spot?: string;
}

const cooks: readonly Told[] = [
  { what: 'no probe', hours: 5, shows: [] },
  { what: 'a probe that agrees', hours: 5, shows: [[0, (low) => low + 1]] },
  { what: 'a lag within its error', hours: 5, shows: [[0, (low) => low - 0.3]] },
  { what: 'a lag from the beginning', hours: 6, shows: [[0, (low) => low - 3]] },
  {
    what: 'a disproof after four hours',
    hours: 6,
    shows: [
      [0, (low) => low + 1],
      [4, (low) => low - 3],
    ],
  },
  {
    what: 'a lag, then silence, then the water',
    hours: 7,
    shows: [
      [0, (low) => low - 3],
      [4, () => null],
      [5, () => 61.9],
    ],
  },
  {
    what: 'a fall of two minutes that goes by',
    hours: 5,
    shows: [
      [0, (low) => low + 1],
      [3, (low) => low - 6],
      [3 + 1 / 30, (low) => low + 1],
    ],
  },
  { what: 'a searched cold spot', hours: 2.5, spot: 'lowest of three', shows: [[0, (low) => low + 2]] },
  {
    what: 'a searched cold spot that the probe left for the water',
    hours: 3,
    spot: 'lowest of three',
    shows: [
      [0, (low) => low + 2],
      [0.5, () => 75],
      [0.6, (low) => low + 2],
    ],
  },
  { what: 'a probe that was never in the meat', hours: 5, shows: [[0, () => 75]] },
];

/** The cook, and its log as a person would export it: seconds since the food went in, water, core. */
function cooked({ shows, hours, spot }: Told): { one: Probed; csv: string } {
  const one = probed();
  if (spot) one.cook.say(command({ kind: 'cold-spot', how: spot }));
  const rows: string[] = ['time,bath_c,core_c'];
  const from = one.cook.state().clockS;
  for (let s = 0; s < hours * 3600; s += 10) {
    const now = shows.findLast(([at]) => s >= at * 3600 - 1e-6);
    if (now) one.shows(now[1]);
    one.cook.run(10);
    const { bath, cores } = one.cook.inputs.at(-1)!.readings;
    const core = cores[0]?.reading.celsius ?? '';
    rows.push(`${one.cook.state().clockS - from},${bath.celsius},${core}`);
  }
  const text = rows.join('\n');
  return { one, csv: shows.length > 0 ? text : text.replaceAll(/,[^,\n]*$/gm, '') };
}

const bagOf = (state: TickState) => state.bags[0]!;

describe('assess and the controller', () => {
  it.each(cooks)('give the same verdicts for the same log with $what', async (told) => {
    const { one, csv } = cooked(told);
    const state = one.cook.state();
    const bag = bagOf(state);
    const atS = bag.carriedS - bag.inAtS;
    const flags = ['--shape', String(bag.spec.beta), '--thickness', `${bag.spec.thicknessMm}mm`];
    if (told.spot) flags.push('--cold-spot', told.spot);
    const result = await assessed(csv, ...flags, '--cut', bag.spec.cutId, '--circulation', 'pumped');
    const worst = result.envelope.lethality[0]!;
    expect(worst.standardId).toBe(bag.estimate.track.setup.standardIds[0]);
    const live = leastLog10(bag.estimate);
    const liveMetS = metAtS(bag.estimate);
    console.log(
      `${told.what}: ${live.toFixed(3)} log10 live, ${worst.log10.toFixed(3)} assessed; met ${liveMetS} / ${worst.metAtS} s`,
    );
    expect(Math.abs(worst.log10 - live)).toBeLessThan(0.02 * Math.max(1, live));
    expect(worst.metAtS === null).toBe(liveMetS === null);
    if (liveMetS !== null) expect(Math.abs(worst.metAtS! - liveMetS)).toBeLessThan(60);
    const words = (verdicts: readonly { status: string; rule: string }[]) =>
      verdicts.map(({ status, rule }) => `${rule}: ${status}`).slice(0, 3);
    expect(words(result.verdicts)).toEqual(words(trackVerdicts(bag.estimate.track, atS)));
    expect(result.cautions.some((text) => text.includes('was taken back'))).toBe(bag.anewAtMs !== null);
  });
});
