import { type RigBench, within } from './bench.ts';
import { killedStep, silenceStep } from './host-steps.ts';
import type { StepRecord } from './record.ts';
import { lease, MOST_OPEN_MS, record, type Step } from './step-parts.ts';

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

/** One switch alone, so that no heat flows: by five leases, each of its own status, none over 2 s. */
async function switchAlone(bench: RigBench, which: 'regulating' | 'guard'): Promise<StepRecord> {
  let closed = 0;
  let otherClosed = false;
  for (let i = 0; i < RENEWED; i++) {
    await lease(bench, which === 'regulating', which === 'guard', 20 + i);
    await bench.pass(1000);
    const status = bench.view()?.status;
    if (which === 'regulating' ? status?.regulatingClosed : status?.guardClosed) closed++;
    if (which === 'regulating' ? status?.guardClosed : status?.regulatingClosed) otherClosed = true;
  }
  bench.port.send({ kind: 'release' });
  const opened = await within(bench, 1500, ({ status }) => !status?.regulatingClosed && !status?.guardClosed);
  const answer = bench.view()?.answer;
  const seen = `closed in ${closed} of ${RENEWED} looks, the other ${otherClosed ? 'closed too' : 'open'}, open after release: ${opened ? 'yes' : 'no'}`;
  const passed = closed >= RENEWED - 1 && !otherClosed && opened;
  const why = !passed && answer && answer.code !== 0 ? `; the board answered ${answer.code}` : '';
  return record(which, passed, `${seen}${why}`);
}

const levelStep: Step = async ({ bench, person }) => {
  await person.please('Take the float of the level switch out of the water, so that it hangs down.');
  bench.act('lift-float');
  const low = await within(bench, LEVEL_MS, ({ status }) => status?.waterPresent === false);
  await person.please('Let the float back into the water.');
  bench.act('drop-float');
  const back = await within(bench, LEVEL_MS, ({ status }) => status?.waterPresent === true);
  return record(
    'level',
    low && back,
    `low seen: ${low ? 'yes' : 'no'}; water seen again: ${back ? 'yes' : 'no'}`,
  );
};

const sounderStep: Step = async ({ bench, person }) => {
  bench.port.send({ kind: 'sound', pattern: WARNING, seconds: SOUND_S });
  const sounding = await within(bench, 2000, ({ status }) => (status?.sounder ?? 0) >= WARNING);
  const heard = await person.saw('heard', 'Did you hear two beeps, again and again?');
  bench.port.send({ kind: 'sound', pattern: 0, seconds: 0 });
  if (heard === null)
    return record('sounder', null, `board sounding: ${sounding ? 'yes' : 'no'}; nobody said if it was heard`);
  return record(
    'sounder',
    sounding && heard,
    `board sounding: ${sounding ? 'yes' : 'no'}; heard: ${heard ? 'yes' : 'no'}`,
  );
};

const unpluggedStep: Step = async ({ bench, person }) => {
  if (bench.emulated)
    return record('unplugged', null, 'only on a real board: the emulator has its own tests of it');
  await person.please(
    'Get ready to pull the USB plug. Heat comes on for a second when you go on; pull it then.',
  );
  await lease(bench, true, true, 31);
  const lost = await within(bench, 30_000, (view) => {
    return (
      view.phase === 'closed' || view.status === null || bench.nowMs() - view.status.arrivedMs > MOST_OPEN_MS
    );
  });
  const off = await person.saw('went-off', 'Was the heater off 2 s after the plug was out (meter or lamp)?');
  await person.please('Plug it in again.');
  const back = await within(bench, 60_000, ({ phase, status }) => {
    return phase === 'ready' && status !== null && !status.regulatingClosed && !status.guardClosed;
  });
  const seen = `link lost: ${lost ? 'yes' : 'no'}; back with both switches open: ${back ? 'yes' : 'no'}; heater off: ${off === null ? 'not said' : off ? 'yes' : 'no'}`;
  return record('unplugged', off === null ? null : lost && back && off, seen);
};

const cutOutStep: Step = async ({ person }) => {
  const celsius = await person.cutOutC();
  if (celsius === null) return record('cut-out', null, 'not tried: do it before the first cook');
  const passed = celsius > 60 && celsius <= 105;
  return record('cut-out', passed, `opened at ${celsius.toFixed(1)} °C; expected above 60 and at most 105`);
};

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
  ({ bench }) => switchAlone(bench, 'regulating'),
  ({ bench }) => switchAlone(bench, 'guard'),
  sounderStep,
  silenceStep,
  killedStep,
  unpluggedStep,
  cutOutStep,
  alarmPathStep,
];
