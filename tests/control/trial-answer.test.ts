import { describe, expect, it } from 'vitest';
import { explainsC } from '../../controller/tick/supervise/explains.ts';
import { followingsOf } from '../../controller/tick/supervise/watch/line.ts';
import {
  cutShort,
  heatIsMissing,
  isWelded,
  NO_TRIAL,
  readAnswer,
  type Traces,
  type Trial,
} from '../../controller/tick/supervise/watch/trial.ts';
import type { Work } from '../../controller/tick/work.ts';
import { newRandom, normal, uniformBetween } from '../../shared/units/random.ts';
import { drawScene } from '../faults/scene.ts';
import { World } from '../faults/world.ts';

const BEATS = 40;
const FROM_S = 120;
const CLOCK_S = BEATS * 10;
const DELAY_S = 40;
const SD_C = 0.02;

/** A burst of heat of half a degree that begins with beat twelve and arrives through one lag, degC by each beat. */
const burst = (i: number) => (i < 12 ? 0 : 0.5 * (1 - Math.exp((-(i - 12) * 10) / DELAY_S)));
/** A level that bends at a beat by so much a beat: a lid that came off. */
const bends = (at: number, by: number) => (i: number) => by * Math.max(0, i - at);

const series = (of: (i: number) => number) => Array.from({ length: BEATS }, (_, i) => of(i));
const tried = (last: 'on' | 'guard'): Trial => ({
  ...NO_TRIAL,
  last,
  fromS: FROM_S,
  untilS: FROM_S + 30,
  triedC: 0.5,
  open: true,
});
const traces = (levels: readonly number[], change: Partial<Traces> = {}): Traces => ({
  levels,
  heats: series(burst),
  standby: series(burst),
  sdC: SD_C,
  suspect: true,
  clear: false,
  ...change,
});

describe('a level that is asked whether it follows the heat', () => {
  // Ordinary least squares gives back the figures that a series was made of, exactly, where there is no noise.
  it('gives back what it was made of: level, slope and share', () => {
    const [straight] = followingsOf(
      series((i) => 3 - 0.02 * i + 0.6 * burst(i)),
      series(burst),
      0,
      BEATS,
    );
    expect(straight!.follows).toBeCloseTo(0.6, 9);
    expect(straight!.left).toBeCloseTo(0, 9);
  });

  it('gives back the share where it bent once, by the fit that bends there and by no straight one', () => {
    const bent = bends(20, -0.03);
    const [straight, ...others] = followingsOf(
      series((i) => 0.6 * burst(i) + bent(i)),
      series(burst),
      0,
      BEATS,
    );
    const best = others.reduce((least, fit) => (fit.left < least.left ? fit : least));
    expect(best.follows).toBeCloseTo(0.6, 6);
    expect(best.left).toBeCloseTo(0, 9);
    expect(Math.abs(straight!.follows - 0.6)).toBeGreaterThan(0.2);
  });
});

describe('the answer of a trial', () => {
  /** Of 400 trials with noise and whatever else: the share that told of a fault. */
  function told(last: 'on' | 'guard', of: (random: ReturnType<typeof newRandom>) => (i: number) => number) {
    let count = 0;
    for (let seed = 1; seed <= 400; seed++) {
      const random = newRandom(seed);
      const level = of(random);
      const seen = traces(
        series((i) => level(i) + SD_C * normal(random)),
        { suspect: last === 'on' },
      );
      const { heat, guard } = readAnswer(tried(last), seen, DELAY_S, CLOCK_S);
      if (((last === 'on' ? heat : guard)?.bad ?? 0) > 0) count += 1;
    }
    return count / 400;
  }
  const lid = (random: ReturnType<typeof newRandom>) =>
    bends(uniformBetween(random, 0, BEATS), uniformBetween(random, -0.05, 0.05));

  it('tells a dead element: the level falls by the heat that was reckoned with', () => {
    expect(told('on', () => (i) => -burst(i))).toBeGreaterThan(0.9);
  });

  it('tells a welded switch: the level rises by heat while only the guard is closed', () => {
    expect(told('guard', () => (i) => burst(i))).toBeGreaterThan(0.9);
  });

  it('takes no lid that came off or back at any moment for a dead element, nor for a welded switch', () => {
    expect(told('on', lid)).toBeLessThan(0.02);
    expect(told('guard', lid)).toBeLessThan(0.02);
  });

  it('is not believed before a second trial says the same', () => {
    const dead = traces(series((i) => -burst(i)));
    const once = readAnswer(tried('on'), dead, DELAY_S, CLOCK_S);
    expect(heatIsMissing(once)).toBe(false);
    const twice = readAnswer({ ...tried('on'), heat: once.heat }, dead, DELAY_S, CLOCK_S);
    expect(heatIsMissing(twice)).toBe(true);
    const welded = traces(series(burst), { suspect: false });
    const guard = readAnswer(tried('guard'), welded, DELAY_S, CLOCK_S);
    expect(isWelded(guard)).toBe(false);
  });
});

describe('a controller that restarts again and again', () => {
  it('reads each stretch between two restarts as a trial: heat that twice did not arrive is missing', () => {
    const dead = traces(series((i) => -burst(i)));
    const once = cutShort(tried('on'), dead, CLOCK_S);
    expect(once).toMatchObject({ running: null, open: false, heat: { bad: 1, badC: 0 } });
    expect(heatIsMissing(cutShort(once, dead, CLOCK_S + 300))).toBe(true);
  });

  it('reads nothing where too little heat came, or the stretch was too short', () => {
    const little = traces(
      series(() => 0),
      { heats: series((i) => 0.001 * i) },
    );
    expect(cutShort(NO_TRIAL, little, CLOCK_S).heat).toBeNull();
    expect(cutShort(NO_TRIAL, null, CLOCK_S).heat).toBeNull();
  });
});

describe('a new cook', () => {
  it('explains a fall of the reading only where somebody says to have looked', () => {
    const scene = drawScene(91_040, 'simple');
    const { state } = new World(scene, 40, 1);
    const work = { next: state } as unknown as Work;
    const start = {
      kind: 'start-cook',
      id: '1',
      by: 'cook',
      cookId: 'a',
      name: 'A',
      setpointC: 60,
      lowSetpointConfirmed: true,
    } as const;
    expect(explainsC(work, start)).toBe(0);
    expect(explainsC(work, { ...start, atBath: true })).toBe(Number.POSITIVE_INFINITY);
  });
});
