import { airPressureKPa, boilingPointC } from '../../../shared/water/saturation.ts';
import { within } from './bench.ts';
import { killedStep, silenceStep, unpluggedStep } from './host-steps.ts';
import type { StepRecord } from './record.ts';
import {
  lease,
  MOST_OPEN_MS,
  record,
  refusal,
  runsOut,
  type SentLease,
  type Step,
  type StepParts,
} from './step-parts.ts';

const WARM_C = 2;
const WARM_MS = 90_000;
const RENEWED = 5;
const LEVEL_MS = 60_000;
const SOUND_S = 6;
const WARNING = 2;

const probeStep: Step = async ({ bench, person, bathRom }) => {
  const read = (rom: string) => bench.view()?.probes.find((probe) => probe.rom === rom)?.celsius ?? null;
  await within(bench, 15_000, (view) =>
    view.probes.some((one) => one.rom === bathRom && one.celsius !== null),
  );
  const before = read(bathRom);
  if (before === null)
    return record('probe', false, `The bath probe ${bathRom} gives no reading: check its plug.`);
  await person.please('Hold the bath probe in your closed hand.');
  bench.act('warm-probe');
  const warmed = await within(bench, WARM_MS, () => (read(bathRom) ?? before) - before >= WARM_C);
  const after = read(bathRom);
  bench.act('cool-probe');
  const seen = `${before.toFixed(1)} to ${after?.toFixed(1) ?? 'no reading'} °C`;
  return record(
    'probe',
    warmed,
    warmed ? seen : `${seen}: expected ${WARM_C} K more. Is it the probe you hold?`,
  );
};

/**
 * One switch alone, so that no heat flows: by five leases, each of its own status, none over 2 s; the last is left to run
 * out. Only a status that arrived after a lease counts as a look at what it did.
 */
async function switchAlone({ bench, person }: StepParts, which: 'regulating' | 'guard'): Promise<StepRecord> {
  const oneOnly = bench.view()?.status?.guardFitted === false;
  if (oneOnly && which === 'guard')
    return record('guard', null, 'this board has no guard switch; it is for attended use only');
  if (oneOnly)
    await person.please('This board has one switch: the next step HEATS for some seconds. Keep the lid on.');
  let closed = 0;
  let otherClosed = false;
  let last: SentLease | null = null;
  for (let i = 0; i < RENEWED; i++) {
    const sent = await lease(bench, which === 'regulating', which === 'guard', 20 + i);
    await bench.pass(1000);
    const status = bench.view()?.status;
    if (sent === null || !status || status.arrivedMs <= sent.sentMs) continue;
    last = sent;
    if (which === 'regulating' ? status.regulatingClosed : status.guardClosed) closed++;
    if (which === 'regulating' ? status.guardClosed : status.regulatingClosed) otherClosed = true;
  }
  const openedMs = last === null ? null : await runsOut(bench, last);
  bench.port.send({ kind: 'release' });
  const opened =
    openedMs === null ? 'not seen open afterwards' : `open ${openedMs} ms after the last lease began`;
  const seen = `closed in ${closed} of ${RENEWED} looks, the other ${otherClosed ? 'closed too' : 'open'}, ${opened}`;
  const passed = closed >= RENEWED - 1 && !otherClosed && openedMs !== null && openedMs <= MOST_OPEN_MS;
  return record(which, passed, `${seen}${passed ? '' : refusal(bench)}`);
}

const levelStep: Step = async ({ bench, person }) => {
  await person.please('Take the float of the level switch out of the water, so that it hangs down.');
  bench.act('lift-float');
  const low = await within(bench, LEVEL_MS, ({ status }) => status?.waterPresent === false);
  await person.please('Let the float back into the water.');
  bench.act('drop-float');
  const back = await within(bench, LEVEL_MS, ({ status }) => status?.waterPresent === true);
  const hint = !low
    ? '. Its wires may be joined, or the float sticks: a float that hangs down must open the contact'
    : '. A wire may be off, or the float is upside down: in water the contact must close';
  const seen = `low seen: ${low ? 'yes' : 'no'}; water seen again: ${back ? 'yes' : 'no'}`;
  return record('level', low && back, `${seen}${low && back ? '' : hint}`);
};

const sounderStep: Step = async ({ bench, person }) => {
  bench.port.send({ kind: 'sound', pattern: WARNING, seconds: SOUND_S });
  const sounding = await within(bench, 2000, ({ status }) => (status?.sounder ?? 0) >= WARNING);
  const heard = await person.saw('heard', 'Did you hear two beeps, again and again?');
  bench.port.send({ kind: 'sound', pattern: 0, seconds: 0 });
  if (heard === null)
    return record('sounder', null, `board sounding: ${sounding ? 'yes' : 'no'}; nobody said if it was heard`);
  const seen = `board sounding: ${sounding ? 'yes' : 'no'}; heard: ${heard ? 'yes' : 'no'}`;
  const hint = heard ? '' : '. Look at its two wires; it must be a piezo without a tone of its own';
  return record('sounder', sounding && heard, `${seen}${hint}`);
};

const cutOutStep: Step = async ({ person }) => {
  const celsius = await person.cutOutC();
  if (celsius === null) return record('cut-out', null, 'not tried: do it before the first cook');
  const { low, high } = CUT_OUT_RATED_C;
  const seen = `opened at ${celsius.toFixed(1)} °C; expected ${low} to ${high}`;
  if (celsius > high) return record('cut-out', false, `${seen}. ${TOO_LATE}`);
  if (celsius <= HOTTEST_COOK_C) return record('cut-out', false, `${seen}. ${TOO_EARLY}`);
  return record('cut-out', true, `${seen}. ${celsius < low ? EARLY : onlyBelow(celsius)}`);
};

/** High up water boils below the rating, and there the bath would not open it either: only a person knows where this is. */
function onlyBelow(celsius: number): string {
  let metres = 0;
  while (metres < HIGHEST_KITCHEN_M && boilingPointC(airPressureKPa(metres + 100)) >= celsius) metres += 100;
  return `Water must boil hotter than that here: higher than about ${metres} m above the sea a boiling bath would not open it; there fit one that opens lower`;
}

const HIGHEST_KITCHEN_M = 5000;
/** F3 of the parts list (hardware/wiring). */
const CUT_OUT_RATED_C = { low: 90, high: 100 } as const;
/** At or below this it opens while a bath is merely hot. */
const HOTTEST_COOK_C = 60;
/*
 * Water never gets hotter than 100 °C in an open box, so what opens above does not stop a bath whose switches have both
 * welded: food and bags boil until the element is dry. That still saves the house, but it is not what leaving a cook alone
 * rests on; a few kelvin of a thermometer held badly are no reason to believe it.
 */
const TOO_LATE =
  'Above 100 it opens only once the element is dry: a bath with both switches welded would boil on till then, and food and bags with it. It counts as unproven. See its marking, fit the part listed, or try it again with the thermometer tight on its head';
const TOO_EARLY = 'It would open in a cook. See its marking and fit the part listed';
const EARLY =
  'Warning: it opens below its rating, which is safe, but keep every setpoint 10 °C below it. See its marking';

/** Only a person can tell; the proof holds for a battery as for an outside receiver that misses the heartbeat. */
const alarmPathStep: Step = async ({ bench, person }) => {
  if (bench.emulated) return record('alarm-path', null, 'only on a real rig');
  const called = await person.saw(
    'called',
    'With the mains plug of computer and board pulled, was a person called within 10 min? Empty: not tried; later with --called.',
  );
  if (called === null) return record('alarm-path', null, 'not tried: no cook may be left alone before it is');
  return record(
    'alarm-path',
    called,
    `mains of computer and board pulled; a person called: ${called ? 'yes' : 'no'}`,
  );
};

/** The steps of commissioning, in order. What heats nothing comes first. */
export const STEPS: readonly Step[] = [
  probeStep,
  levelStep,
  (parts) => switchAlone(parts, 'regulating'),
  (parts) => switchAlone(parts, 'guard'),
  sounderStep,
  silenceStep,
  killedStep,
  unpluggedStep,
  cutOutStep,
  alarmPathStep,
];
