import type { PortLetter } from '../avr/core.ts';

/** A pin as printed on the board, and the chip's port bit behind it (pinout of the ATmega328P board in common use). */
export interface Pin {
  port: PortLetter;
  bit: number;
}

/** Pins the firmware gives a duty (hardware/firmware/PROTOCOL.md, section 9). */
export const PIN = {
  oneWire: 2,
  levelSwitch: 4,
  regulating: 7,
  guard: 8,
  sounder: 9,
  led: 13,
} as const;

/** Port bit of a digital pin 0-13, or of an analog pin A0-A5 as 14-19. Throws for any other number. */
export function pinOf(number: number): Pin {
  if (!Number.isInteger(number) || number < 0 || number > 19) {
    throw new Error(`The board has pins 0 to 19 (14 to 19 are A0 to A5), not ${number}.`);
  }
  if (number < 8) return { port: 'D', bit: number };
  return number < 14 ? { port: 'B', bit: number - 8 } : { port: 'C', bit: number - 14 };
}
