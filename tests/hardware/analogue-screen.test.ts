import { describe, expect, it } from 'vitest';
import { averageCodes } from '../../controller/rig/analogue/average.ts';
import { readAnalogue } from '../../controller/rig/analogue/read.ts';
import { NEW_SCREEN, screenBytes } from '../../controller/rig/usb/screen.ts';
import { newRandom, uniform } from '../../shared/units/random.ts';
import { couple, ntc, pt100 } from './analogue-circuits.ts';

const ASKED = { ...NEW_SCREEN, channels: [0, 3] };

// Byte forms: Firmata protocol, "analog I/O message" (E0 to EF, two groups of seven bits) and "extended analog" (6F).
describe('the screen of the port', () => {
  it('lets values of the channels through that were asked for, in both forms, and no others', () => {
    const bytes = [0xe0, 0x7f, 0x07, 0xe1, 1, 0, 0xf0, 0x6f, 3, 1, 2, 3, 0xf7, 0xf0, 0x6f, 5, 1, 0xf7];
    const { analogue, firmata, ours } = screenBytes(ASKED, bytes);
    expect(analogue).toEqual([
      { channel: 0, code: 1023, mostBits: 14 },
      { channel: 3, code: 1 + 2 * 128 + 3 * 128 * 128, mostBits: 28 },
    ]);
    expect([...firmata, ...ours]).toEqual([]);
  });

  it('lets none through from a board that was asked for none, such as ours', () => {
    const bytes = [0xe0, 0x7f, 0x07, 0xf0, 0x6f, 0, 1, 0xf7];
    expect(screenBytes(NEW_SCREEN, bytes)).toMatchObject({ analogue: [], firmata: [], ours: [] });
  });

  it('drops an analogue message that is cut short, and an extended one that carries nothing or too much', () => {
    const short = screenBytes(ASKED, [0xe0, 1, 0xe0, 2, 0]);
    expect(short.analogue).toEqual([{ channel: 0, code: 2, mostBits: 14 }]);
    const wrong = [
      0xf0, 0x6f, 0, 0xf7, 0xf0, 0x6f, 0, 1, 1, 1, 1, 1, 0xf7, 0xf0, 0x6f, 0xf7, 0xf0, 0x6f, 64, 1, 0xf7,
    ];
    expect(screenBytes(ASKED, wrong).analogue).toEqual([]);
  });

  it('goes on across pieces of any length', () => {
    let screen: Parameters<typeof screenBytes>[0] = ASKED;
    const heard: object[] = [];
    for (const byte of [0xe3, 0x05, 0x01, 0xf0, 0x6f, 0, 9, 0xf7]) {
      const after = screenBytes(screen, [byte]);
      screen = after.screen;
      heard.push(...after.analogue);
    }
    expect(heard).toEqual([
      { channel: 3, code: 133, mostBits: 14 },
      { channel: 0, code: 9, mostBits: 28 },
    ]);
  });
});

describe('codes of a second', () => {
  it('become their mean, with strays left out', () => {
    expect(averageCodes([500, 501, 502, 501], 1024)).toEqual({ ok: true, code: 501 });
    expect(averageCodes([500, 501, 502, 501, 1013], 1024)).toEqual({ ok: true, code: 501 });
    expect(averageCodes([500, 501], 1024)).toMatchObject({ ok: false });
    expect(averageCodes([100, 500, 500, 900], 1024)).toMatchObject({ ok: false });
  });

  it('never make a reading throw, nor one that is no temperature of a bath, whatever the code and the circuit', () => {
    const random = newRandom(41);
    const circuits = [
      ntc('A0'),
      ntc('A0', { thermistorTo: 'supply', adcBits: 16 }),
      ntc('A0', {
        curve: {
          points: [
            { celsius: 0, ohms: 5 },
            { celsius: 1, ohms: 5 },
            { celsius: 2, ohms: 5 },
          ],
        },
      }),
      pt100('A1', { outputVolts: { low: 3, high: 1 } }),
      pt100('A1', { gain: 5000, offsetVolts: -50 }),
      pt100('A1', { leadOhms: 20 }),
      couple('A2', 'typeK', { celsius: -30 }),
      couple('A2', 'typeT', { celsius: 60 }, { gain: 1 }),
    ];
    let good = 0;
    for (let i = 0; i < 20_000; i++) {
      const circuit = circuits[i % circuits.length]!;
      const code = [
        uniform(random) * 2 ** circuit.adcBits,
        uniform(random) * 1e9,
        -uniform(random),
        Number.NaN,
      ][i % 4]!;
      const coldC = i % 3 === 0 ? null : uniform(random) * 60;
      const { celsius, quality, stepK } = readAnalogue(code, circuit, coldC);
      if (celsius === null) expect(quality).not.toBe('good');
      else {
        good++;
        expect(celsius).toBeGreaterThanOrEqual(-55);
        expect(celsius).toBeLessThanOrEqual(125);
        expect(stepK).toBeGreaterThan(0);
      }
    }
    expect(good).toBeGreaterThan(1000);
  });
});
