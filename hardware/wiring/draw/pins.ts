import { readFileSync } from 'node:fs';

/** What each pin of the board is called on its silk screen, by its use in the firmware. */
export type PinUse = 'WIRE' | 'LEVEL' | 'REGULATING' | 'GUARD' | 'SOUNDER' | 'LED';

/**
 * The pins as the firmware's source has them (port D is D0 to D7, port B is D8 to D13), so that drawing and program cannot
 * differ. @throws Error where the source no longer names one
 */
export function pinsOf(source: string): Record<PinUse, string> {
  const pin = (use: PinUse): string => {
    const found = new RegExp(`#define ${use}_BIT P([BD])(\\d)`).exec(source);
    if (!found)
      throw new Error(`The firmware's pinout names no ${use}_BIT: expected "#define ${use}_BIT PDn" or PBn.`);
    return `D${Number(found[2]) + (found[1] === 'B' ? 8 : 0)}`;
  };
  return {
    WIRE: pin('WIRE'),
    LEVEL: pin('LEVEL'),
    REGULATING: pin('REGULATING'),
    GUARD: pin('GUARD'),
    SOUNDER: pin('SOUNDER'),
    LED: pin('LED'),
  };
}

/** The pins of the firmware beside this folder. */
export function firmwarePins(): Record<PinUse, string> {
  return pinsOf(readFileSync(new URL('../../firmware/avr/pinout.h', import.meta.url), 'utf8'));
}
