import { type AnalogueProbe, analogueProbeSchema } from '../../../shared/wire/analogue.ts';
import { codesOf, curveOf, END_SHARE, outputSpan, sensorWatts, voltsAt } from './circuit.ts';
import { readAnalogue } from './read.ts';

/** A bath must be read from ice to boiling: the points of a calibration lie there. */
const SPAN_C = { low: 0, high: 100 } as const;
/** A thermocouple's terminals, where the configuration names a probe for them. */
const USUAL_COLD_C = 25;
/** A step is judged where food is held. */
const COOKING_C = 60;
const COARSEST_STEP_K = 2;
/** Self-heating in stirred water stays below about half a kelvin (some 20 mW/K, common practice, no source). */
const MOST_WATTS = 0.01;

/**
 * What is physically impossible in the circuits of a configuration, or of no use: judged by working out the volts at the
 * pin over the range of a bath. Entries that do not pass their schema are left to it.
 * @param raw the whole configuration as it was written
 * @returns one line a fault: where, what was found, what was expected, how to mend it
 */
export function circuitFaults(raw: unknown): string[] {
  const rig = (raw as { rig?: { analogue?: unknown } } | null)?.rig;
  const entries = Array.isArray(rig?.analogue) ? (rig.analogue as unknown[]) : [];
  return entries.flatMap((entry, index) => {
    const parsed = analogueProbeSchema.safeParse(entry);
    if (!parsed.success) return [];
    return probeFaults(parsed.data).map(({ field, text }) => `rig.analogue.${index}.${field}: ${text}`);
  });
}

interface Fault {
  readonly field: string;
  readonly text: string;
}

/** The same for one probe. */
function probeFaults(probe: AnalogueProbe): Fault[] {
  if (probe.kind === 'ntc') {
    try {
      curveOf(probe);
    } catch (error) {
      const text = `${(error as Error).message}; copy the rows or figures from the data sheet again`;
      return [{ field: 'curve', text }];
    }
  }
  const output = probe.kind === 'ntc' ? [] : outputFaults(probe);
  if (output.length > 0) return output;
  const ends = endFaults(probe);
  return [...heatFaults(probe), ...(ends.length > 0 ? ends : stepFaults(probe))];
}

function outputFaults(probe: Exclude<AnalogueProbe, { kind: 'ntc' }>): Fault[] {
  const { low, high } = outputSpan(probe);
  if (high - low > 10 * END_SHARE * probe.referenceVolts) return [];
  const text = `from ${low} to ${high} V nothing can be shown: expected low below high, and low below the reference of ${probe.referenceVolts} V; see the amplifier's data sheet`;
  return [{ field: 'outputVolts', text }];
}

function heatFaults(probe: AnalogueProbe): Fault[] {
  const watts = sensorWatts(probe);
  if (watts <= MOST_WATTS) return [];
  return [
    {
      field: 'seriesOhms',
      text: `the circuit puts ${(1000 * watts).toFixed(0)} mW into the sensor and warms it: expected ${1000 * MOST_WATTS} mW at most; take a larger resistor`,
    },
  ];
}

/** Volts at the pin from ice to boiling, against what the circuit can show. */
function endFaults(probe: AnalogueProbe): Fault[] {
  const coldC = coldOf(probe);
  const margin = END_SHARE * probe.referenceVolts;
  const span = probe.kind === 'ntc' ? { low: 0, high: probe.referenceVolts } : outputSpan(probe);
  return [SPAN_C.low, SPAN_C.high].flatMap((celsius) => {
    const volts = voltsAt(probe, celsius, coldC);
    if (volts > span.low + margin && volts < span.high - margin) return [];
    const seen = `at ${celsius} °C ${volts.toFixed(3)} V would stand at the pin, and the circuit shows ${span.low} to ${span.high} V`;
    const field = probe.kind === 'ntc' ? 'seriesOhms' : volts <= span.low + margin ? 'offsetVolts' : 'gain';
    return [
      { field, text: `${seen}: expected ${SPAN_C.low} to ${SPAN_C.high} °C well within; ${MEND[field]}` },
    ];
  });
}

const MEND = {
  seriesOhms: 'take a series resistor as large as the thermistor has at 40 to 60 °C',
  offsetVolts: 'raise offsetVolts, so that the coldest reading stays above the lowest output',
  gain: 'lower gain or offsetVolts, so that the hottest reading stays below the highest output',
} as const;

function stepFaults(probe: AnalogueProbe): Fault[] {
  const stepK = stepAt(probe, COOKING_C);
  if (stepK !== null && stepK <= COARSEST_STEP_K) return [];
  const field = probe.kind === 'ntc' ? 'seriesOhms' : 'gain';
  const mend =
    probe.kind === 'ntc'
      ? MEND.seriesOhms
      : 'raise gain, or take a converter with more bits or a lower reference';
  const worth = stepK === null ? 'cannot be read' : `is read in steps of ${stepK.toFixed(1)} K`;
  return [
    { field, text: `${COOKING_C} °C ${worth}: expected steps of ${COARSEST_STEP_K} K at most; ${mend}` },
  ];
}

const coldOf = (probe: AnalogueProbe): number =>
  'coldJunction' in probe && 'celsius' in probe.coldJunction ? probe.coldJunction.celsius : USUAL_COLD_C;

/** What one step of the converter is worth at a temperature, K; null where the circuit does not show it. */
export function stepAt(probe: AnalogueProbe, celsius: number): number | null {
  const code = (voltsAt(probe, celsius, coldOf(probe)) / probe.referenceVolts) * codesOf(probe) - 0.5;
  return readAnalogue(code, probe, coldOf(probe)).stepK;
}
