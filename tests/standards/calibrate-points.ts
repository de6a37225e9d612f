import type { BoilingPoint, IcePoint, ReferencePoint } from '../../shared/wire/calibration.ts';
import { oneWireCrc, romText } from '../../shared/wire/rom.ts';

/** A probe of our own invention. */
const serial = [0x28, 0x42, 0x6b, 0x01, 0x00, 0x00, 0x07];
export const ROM = romText([...serial, oneWireCrc(serial)]);
export const CALIBRATED_AT = '2026-11-25T09:30:00Z';
export const AT_MS = Date.parse(CALIBRATED_AT);
export const DAY_MS = 24 * 3600 * 1000;

export const icePoint = (readC: number, more: Partial<IcePoint> = {}): IcePoint => ({
  kind: 'ice',
  readC,
  readings: 30,
  spreadC: 0.0625,
  limitC: 0.1,
  ...more,
});

export const referencePoint = (
  referenceC: number,
  readC: number,
  more: Partial<ReferencePoint> = {},
): ReferencePoint => ({
  kind: 'reference',
  readC,
  readings: 30,
  spreadC: 0.0625,
  referenceC,
  limitC: 0.1,
  instrument: 'glass thermometer of the hut, certificate 2026',
  ...more,
});

export const boilingPoint = (readC: number, place: BoilingPoint['place']): BoilingPoint => ({
  kind: 'boiling',
  readC,
  readings: 30,
  spreadC: 0.125,
  place,
});

export const input = (...points: (IcePoint | ReferencePoint | BoilingPoint)[]) => ({
  rom: ROM,
  calibratedAt: CALIBRATED_AT,
  by: 'Hut cook',
  points,
});
