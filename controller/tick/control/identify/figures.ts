import { type LossShape, lossShape } from './loss.ts';
import { spreadS } from './path.ts';
import { DELAY, type Described, DRY, describedJK, NARROW, RATE, type RigState, STEAM } from './rig.ts';

/** A figure with the interval that holds the truth in 95 % of rigs. */
export interface Figure {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** What is known of the rig in the units people use. */
export interface RigFigures {
  /** False while these are no more than the configuration, widened. */
  readonly identified: boolean;
  readonly identifiedAtMs: number | null;
  /** Heat that reaches the water at full duty, W. */
  readonly watts: Figure;
  /** Heat capacity of water, box and element, J/K. */
  readonly heatJK: Figure;
  /** Rise at full heat without loss, degC/s. */
  readonly rateCPerS: Figure;
  /** Loss to the room at `atC`, W, lid on and off. */
  readonly atC: number;
  readonly roomC: number;
  readonly lossLidOnW: Figure;
  readonly lossLidOffW: Figure;
  /** Delay from switch to reading, s: its mean, and split into a dead time and a lag of the same mean and spread. */
  readonly delayS: Figure;
  readonly deadTimeS: Figure;
  readonly lagS: Figure;
}

const Z95 = 1.96;
/** The supply may be 10 % off its nominal voltage for good and an element 5 % off its rating: standard deviation of log W. */
const WATTS_SD = 0.08;
/** Litres poured by the mark, wall and element guessed: standard deviation of log J/K. */
const JOULES_SD = 0.08;
/** Before anything was identified: 40 % either way. */
const DESCRIBED_SD = 0.2;
/** What the model's one mass of water leaves out of loss and rate, as a share. */
const MODEL_SD = 0.05;
const RATE_MODEL_SD = 0.015;

/** Heat capacity and power together: the description, moved by what the rate says of their ratio. */
function scale(rig: RigState, described: Described) {
  const known = rig.identifiedAtMs !== null;
  const wattsSd = known ? WATTS_SD : DESCRIBED_SD;
  const joulesSd = known ? JOULES_SD : DESCRIBED_SD;
  const n = rig.belief.mean.length;
  const rate = rig.belief.mean[RATE]!;
  const rateSd = Math.hypot(Math.sqrt(rig.belief.cov[RATE * n + RATE]!) / rate, RATE_MODEL_SD);
  const jk = describedJK(described);
  const off = Math.log(rate / (described.elementWatts / jk));
  const total = wattsSd ** 2 + joulesSd ** 2 + rateSd ** 2;
  const share = (sd: number) => (sd * sd) / total;
  return {
    rate,
    rateSd,
    watts: described.elementWatts * Math.exp(share(wattsSd) * off),
    wattsSd: wattsSd * Math.sqrt(1 - share(wattsSd)),
    jk: jk * Math.exp(-share(joulesSd) * off),
    jkSd: joulesSd * Math.sqrt(1 - share(joulesSd)),
  };
}

/** Heat capacity of the rig, J/K. */
export function heatJK(rig: RigState, described: Described): number {
  return scale(rig, described).jk;
}

const byFactor = (value: number, logSd: number): Figure => ({
  value,
  low: value * Math.exp(-Z95 * logSd),
  high: value * Math.exp(Z95 * logSd),
});

const bySum = (value: number, sd: number): Figure => ({
  value,
  low: Math.max(0, value - Z95 * sd),
  high: value + Z95 * sd,
});

function lossRates(rig: RigState, shape: LossShape) {
  const { mean, cov } = rig.belief;
  const n = mean.length;
  const on = mean[DRY]! * shape.dryK + mean[STEAM]! * shape.steamWM2;
  const variance =
    cov[DRY * n + DRY]! * shape.dryK ** 2 +
    cov[STEAM * n + STEAM]! * shape.steamWM2 ** 2 +
    2 * cov[DRY * n + STEAM]! * shape.dryK * shape.steamWM2;
  const open = shape.steamWM2 + shape.openWM2;
  return { on, onSd: Math.sqrt(Math.max(0, variance)), lid: rig.lid.mean * open, lidSd: rig.lid.sd * open };
}

/** Every figure with its interval, for the water at `atC` in a room of `roomC`. */
export function rigFigures(rig: RigState, described: Described, atC: number, roomC: number): RigFigures {
  const at = scale(rig, described);
  const loss = lossRates(rig, lossShape(atC, roomC));
  const { mean, cov } = rig.belief;
  const n = mean.length;
  const delay = mean[DELAY]!;
  const delaySd = Math.hypot(Math.sqrt(cov[DELAY * n + DELAY]!), 2.5 + 0.025 * delay);
  // The tail of the delay shows little in means of ten seconds: half-way between the fit and four equal lags in a row.
  const lag = (spreadS(delay, mean[NARROW]!) + spreadS(delay, 1)) / 2;
  const lagSd = 8 + 0.025 * delay;
  const jkShare = Math.hypot(at.jkSd, MODEL_SD);
  const onSd = at.jk * Math.hypot(loss.onSd, jkShare * loss.on);
  const offSd = at.jk * Math.hypot(loss.onSd, loss.lidSd, jkShare * (loss.on + loss.lid));
  return {
    identified: rig.identifiedAtMs !== null,
    identifiedAtMs: rig.identifiedAtMs,
    watts: byFactor(at.watts, at.wattsSd),
    heatJK: byFactor(at.jk, at.jkSd),
    rateCPerS: byFactor(at.rate, at.rateSd),
    atC,
    roomC,
    lossLidOnW: bySum(at.jk * loss.on, onSd),
    lossLidOffW: bySum(at.jk * (loss.on + loss.lid), offSd),
    delayS: bySum(delay, delaySd),
    deadTimeS: bySum(Math.max(0, delay - lag), 8 + 0.05 * delay),
    lagS: bySum(lag, lagSd),
  };
}
