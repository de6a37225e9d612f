import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { AnalogueProbe } from '../../shared/wire/analogue.ts';
import { NTC_103AT2, PT100_ROWS, THERMOCOUPLE_ROWS } from '../standards/convert-figures.ts';
import { type AnalogueBench, analogueBench } from './analogue-bench.ts';
import { couple, coupleCode, ntc, ntcCode, pt100, pt100Code } from './analogue-circuits.ts';

let bench: AnalogueBench | null = null;
beforeEach(() => {
  vi.useFakeTimers();
});
afterEach(() => {
  bench?.close();
  bench = null;
  vi.useRealTimers();
});

/** One second of codes for each row, through bytes, Firmata and reader; largest deviation beyond half a step, K. */
async function rowsThrough(
  probe: AnalogueProbe,
  rows: readonly (readonly [celsius: number, code: number])[],
): Promise<{ worst: number; beyond: number; read: number }> {
  let code = rows[0]![1];
  bench = await analogueBench([probe], { bits: probe.adcBits, code: () => code });
  let [worst, beyond, read] = [0, 0, 0];
  for (const [celsius, one] of rows) {
    code = one;
    // Slow enough for a thermocouple: one that came onto its terminals' temperature in seconds would pass for shorted.
    await bench.run(6000);
    const view = bench.probe(probe.name);
    expect(view, `${celsius} degC, code ${one}`).toMatchObject({ quality: 'good', foreign: false });
    const off = Math.abs(view.celsius! - celsius);
    worst = Math.max(worst, off);
    beyond = Math.max(beyond, off - view.analogue!.stepK! / 2);
    read++;
  }
  console.log(
    `${probe.kind}, ${probe.adcBits} bits: ${read} rows, off by ${worst.toFixed(3)} K at most, ${beyond.toFixed(3)} K beyond half a step`,
  );
  return { worst, beyond, read };
}

const inBath = <T extends readonly [number, ...unknown[]]>(rows: readonly T[]) =>
  rows.filter(([celsius]) => celsius >= 0 && celsius <= 100);

describe('an analogue probe through plain Firmata reads the published rows to half a step of the converter', () => {
  // 103AT-2 resistance table (maker's data sheet): kohm; its curve through three rows is good to 0.04 K.
  it.each([10, 12])('NTC: the 103AT-2 table in a divider, %i bits', async (adcBits) => {
    const rows = inBath(NTC_103AT2).map(([c, kOhm]) => [c, ntcCode(kOhm * 1000, adcBits)] as const);
    const { beyond, read } = await rowsThrough(ntc('A0', { adcBits }), rows);
    expect(read).toBeGreaterThan(15);
    expect(beyond).toBeLessThan(0.045);
  });

  // IEC 60751:2008, table of a Pt100, four places.
  it.each([10, 12])(
    'Pt100: the table of IEC 60751 below a reference resistor and an amplifier, %i bits',
    async (adcBits) => {
      const rows = inBath(PT100_ROWS).map(([c, ohms]) => [c, pt100Code(ohms, adcBits)] as const);
      const { beyond, read } = await rowsThrough(pt100('A1', { adcBits }), rows);
      expect(read).toBeGreaterThan(15);
      expect(beyond).toBeLessThan(0.005);
    },
  );

  // NIST ITS-90 tables (SRD 60), four places; terminals at 25 degC by the row of the same table.
  it.each([
    ['typeK', 1, 10],
    ['typeK', 1, 12],
    ['typeT', 2, 10],
    ['typeT', 2, 12],
  ] as const)(
    'thermocouple %s: the ITS-90 table against terminals at 25 degC (column %i), %i bits',
    async (kind, column, adcBits) => {
      const coldMv = THERMOCOUPLE_ROWS.find(([c]) => c === 25)![column];
      const rows = inBath(THERMOCOUPLE_ROWS).map(
        (row) => [row[0], coupleCode(row[column], coldMv, adcBits)] as const,
      );
      const { beyond, read } = await rowsThrough(couple('A2', kind, { celsius: 25 }, { adcBits }), rows);
      expect(read).toBeGreaterThan(15);
      expect(beyond).toBeLessThan(0.005);
    },
  );

  it('thermocouple: its terminals follow the probe beside them, an NTC on another pin', async () => {
    // NIST ITS-90, type K: 60 degC 2.4365 mV; 20 degC 0.7981 mV, 30 degC 1.2033 mV. 103AT-2: 12.09 and 8.313 kohm.
    let codes = [ntcCode(12_090), coupleCode(2.4365, 0.7981)];
    const probes = [ntc('A0', { role: 'ambient' }), couple('A1', 'typeK', { probe: 'A0' }, { role: 'bath' })];
    bench = await analogueBench(probes, { code: (channel) => codes[channel] ?? null });
    await bench.run(4000);
    expect(Math.abs(bench.probe('A1').celsius! - 60)).toBeLessThan(0.2);
    codes = [ntcCode(8313), coupleCode(2.4365, 1.2033)];
    await bench.run(4000);
    expect(Math.abs(bench.probe('A0').celsius! - 30)).toBeLessThan(0.2);
    expect(Math.abs(bench.probe('A1').celsius! - 60)).toBeLessThan(0.2);
  });

  it('in the longer form of the analogue message, with more bits than fourteen', async () => {
    // IEC 60751: 60 degC is 123.2419 ohm.
    const code = pt100Code(123.2419, 16);
    expect(code).toBeGreaterThan(2 ** 14);
    bench = await analogueBench([pt100('A3', { adcBits: 16 })], {
      bits: 16,
      extended: true,
      code: () => code,
    });
    await bench.run(2500);
    expect(bench.probe('A3').celsius).toBeCloseTo(60, 2);
  });

  it('but not in the short form, which would cut such a code to fourteen bits and show another temperature', async () => {
    // IEC 60751: 60 degC is 123.2419 ohm, 40 degC 115.5408; cut to fourteen bits they would read -17 and 1 degC.
    for (const ohms of [123.2419, 115.5408]) {
      const code = pt100Code(ohms, 16);
      bench = await analogueBench([pt100('A3', { adcBits: 16 })], { bits: 16, code: () => code });
      await bench.run(4000);
      expect(bench.probe('A3')).toMatchObject({
        celsius: null,
        quality: 'absent',
        why: expect.stringMatching(/no value of 16 bits of A3/),
      });
      bench.close();
    }
  });

  it('of a board whose channels stand in no order and with gaps: the mode goes to the pin that has the channel', async () => {
    const code = pt100Code(123.2419, 10);
    const probes = [pt100('A1', { adcBits: 10 }), pt100('A2', { adcBits: 10 })];
    bench = await analogueBench(probes, {
      mapping: [5, 1, 0, 4],
      code: (channel) => (channel === 1 ? code : null),
    });
    await bench.run(2500);
    expect(Math.abs(bench.probe('A1').celsius! - 60)).toBeLessThan(0.1);
    expect(bench.probe('A2').why).toMatch(/no analogue pin A2: expected one of A0, A1, A4, A5$/);
    // Set pin mode: F4, pin, 2 for analogue (Firmata protocol). Channel 1 is on pin 15.
    const { written } = bench.board;
    const modes = written.flatMap((byte, at) => (byte === 0xf4 ? [[written[at + 1], written[at + 2]]] : []));
    expect(modes.filter(([, mode]) => mode === 2)).toEqual([[15, 2]]);
  });
});

describe('what a circuit can suffer', () => {
  const OPEN = Number.POSITIVE_INFINITY;
  // The codes are those of the circuit with 0 ohm or none at all in place of the sensor; what each means is physics.
  it.each([
    ['an open NTC', ntc('A0'), 1023, 'open'],
    ['a shorted NTC', ntc('A0'), ntcCode(0), 'shorted'],
    ['an open NTC on the supply side', ntc('A0', { thermistorTo: 'supply' }), 0, 'open'],
    ['a shorted NTC on the supply side', ntc('A0', { thermistorTo: 'supply' }), 1023, 'shorted'],
    ['an open Pt100', pt100('A0'), pt100Code(OPEN), 'open'],
    ['a shorted Pt100', pt100('A0'), pt100Code(0), 'shorted'],
    [
      'an open thermocouple whose amplifier goes to its top',
      couple('A0', 'typeK', { celsius: 20 }),
      1023,
      'open',
    ],
    [
      'an open thermocouple whose amplifier goes to its bottom',
      couple('A0', 'typeK', { celsius: 20 }),
      0,
      'open',
    ],
    // Gain so high that the top lies at 70 degC: hot water and a broken wire look the same there.
    ['a Pt100 beyond its circuit', pt100('A0', { gain: 60, offsetVolts: -12 }), 1023, 'saturated'],
    [
      'a thermocouple without an offset, at the bottom',
      couple('A0', 'typeK', { celsius: 20 }, { offsetVolts: 0 }),
      0,
      'saturated',
    ],
  ] as const)('%s gives no number and says which it is', async (_name, probe, code, quality) => {
    bench = await analogueBench([probe], { code: () => code });
    await bench.run(2500);
    const view = bench.probe('A0');
    expect(view).toMatchObject({ celsius: null, quality, analogue: { stepK: null } });
    expect(view.why).toMatch(/open|shorted|end of its circuit/);
  });

  it('an amplifier that ends below the reference is known to be at its end there, not taken for hot water', async () => {
    // 3.6 V of 5 V: code 737; without the end of the amplifier this would read as water above 90 degC.
    const code = 737;
    bench = await analogueBench([pt100('A0', { outputVolts: { low: 0.02, high: 3.6 } }), pt100('A1')], {
      code: () => code,
    });
    await bench.run(2500);
    expect(bench.probe('A1').celsius).toBeGreaterThan(85);
    expect(bench.probe('A0')).toMatchObject({ celsius: null, quality: 'saturated' });
  });

  it('a thermocouple that falls within seconds onto its cold junction is shorted, until it reads something else', async () => {
    // NIST ITS-90, type K: 60 degC 2.4365 mV, 20 degC 0.7981 mV. A short gives no voltage.
    const [hot, short] = [coupleCode(2.4365, 0.7981), coupleCode(0, 0)];
    let code = hot;
    bench = await analogueBench([couple('A0', 'typeK', { celsius: 20 })], { code: () => code });
    await bench.run(3000);
    expect(bench.probe('A0').quality).toBe('good');
    code = short;
    await bench.run(3000);
    expect(bench.probe('A0')).toMatchObject({ celsius: null, quality: 'shorted' });
    await bench.run(60_000);
    expect(bench.probe('A0').quality).toBe('shorted');
    code = hot;
    await bench.run(3000);
    expect(bench.probe('A0')).toMatchObject({ quality: 'good', analogue: { doubt: null } });
  });

  it('a thermocouple that never was elsewhere reads its cold junction, and that is said beside the reading', async () => {
    bench = await analogueBench([couple('A0', 'typeK', { celsius: 20 })], { code: () => coupleCode(0, 0) });
    await bench.run(3000);
    expect(Math.abs(bench.probe('A0').celsius! - 20)).toBeLessThan(0.2);
    expect(bench.probe('A0').analogue?.doubt).toMatch(/shorted/);
  });

  it('a thermocouple without a fresh cold junction has no reading', async () => {
    const probes = [ntc('A0'), couple('A1', 'typeT', { probe: 'A0' })];
    let ambient: number | null = ntcCode(10_000);
    bench = await analogueBench(probes, { code: (channel) => (channel === 0 ? ambient : 400) });
    await bench.run(4000);
    expect(bench.probe('A1').quality).toBe('good');
    ambient = 1023;
    await bench.run(3000);
    expect(bench.probe('A1')).toMatchObject({ celsius: null, quality: 'absent' });
    expect(bench.probe('A1').why).toMatch(/cold junction/);
  });

  it('a value that stops arriving leaves no reading, dated by its last message, and comes back by itself after a reset', async () => {
    let code: number | null = ntcCode(3020);
    bench = await analogueBench([ntc('A0')], { code: () => code });
    await bench.run(3000);
    const before = bench.probe('A0');
    expect(before.quality).toBe('good');
    code = null;
    const stoppedMs = performance.now();
    await bench.run(2000);
    // Not told yet, but it ages: what reads it sees how old the last message is.
    expect(bench.probe('A0').arrivedMs).toBeLessThanOrEqual(stoppedMs);
    await bench.run(3000);
    expect(bench.probe('A0')).toMatchObject({ celsius: null, quality: 'absent' });
    expect(bench.probe('A0').arrivedMs).toBeLessThanOrEqual(stoppedMs);
    // The board was reset and has forgotten what it was asked for.
    bench.board.reset();
    code = ntcCode(3020);
    await bench.run(8000);
    expect(bench.probe('A0')).toMatchObject({ quality: 'good', celsius: before.celsius });
  });

  it('one damaged value a second changes nothing, and an input that jumps about has no reading', async () => {
    let turn = 0;
    const clean = ntcCode(3020);
    bench = await analogueBench([ntc('A0')], { code: () => (turn++ % 12 === 5 ? clean ^ 0x200 : clean) });
    await bench.run(20_000);
    expect(bench.probe('A0').analogue?.code).toBe(clean);
    bench.close();
    bench = await analogueBench([ntc('A0')], { code: () => (turn++ % 2 === 0 ? 200 : 800) });
    await bench.run(3000);
    expect(bench.probe('A0')).toMatchObject({ celsius: null, quality: 'range' });
    expect(bench.probe('A0').why).toMatch(/not steady/);
  });

  it('noise of some steps makes the mean finer than a step', async () => {
    // IEC 60751: 60 degC is 123.2419 ohm. Without noise 10 bits would give the middle of the step.
    let turn = 0;
    const exact = ((40 * 5 * 123.2419) / (123.2419 + 2200) - 8) * (1024 / 5);
    const code = () => Math.floor(exact + ((turn++ * 7) % 20) / 10 - 0.95);
    bench = await analogueBench([pt100('A0')], { code });
    await bench.run(5000);
    const { celsius, analogue } = bench.probe('A0');
    expect(Math.abs(celsius! - 60)).toBeLessThan(analogue!.stepK! / 5);
  });

  it('a board that has other bits or no such pin says so in place of a wrong reading', async () => {
    bench = await analogueBench([ntc('A0'), ntc('A9')], { saidBits: 12, code: () => 400 });
    await bench.run(3000);
    expect(bench.probe('A0')).toMatchObject({ celsius: null, quality: 'absent' });
    expect(bench.probe('A0').why).toMatch(/12 bits, the configuration says 10: mend adcBits/);
    expect(bench.probe('A9').why).toMatch(/no analogue pin A9: expected one of A0, A1, A2, A3, A4, A5/);
  });
});
