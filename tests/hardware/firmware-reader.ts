/**
 * What the board should make of the bytes it receives, from hardware/firmware/PROTOCOL.md sections 1 and 2 alone.
 */
import { bodyOf, crc8, ID } from './firmware-wire.ts';

/** A message that matters to the switches; `at` is when its last byte had arrived, in cycles. */
export type Heard = { at: number } & (
  | { kind: 'lease'; nonce: number; session: number; durationMs: number; switches: number }
  | { kind: 'badLease' }
  | { kind: 'limits'; allowed: boolean }
  | { kind: 'query'; tag: number }
  | { kind: 'clear'; nonce: number; session: number; cause: number }
  | { kind: 'trip' }
  | { kind: 'release' }
  | { kind: 'systemReset' }
);

const LONGEST = 96;
const view = (body: readonly number[]): DataView => new DataView(Uint8Array.from(body).buffer);

function limitsAllowed(body: readonly number[]): boolean {
  const v = view(body);
  const rom = body.slice(1, 9);
  const within = (value: number, floor: number, ceiling: number): boolean =>
    value >= floor && value <= ceiling;
  return (
    rom[0] === 0x28 &&
    crc8(rom.slice(0, 7)) === rom[7] &&
    within(v.getInt16(9, true), 480, 1520) &&
    within(v.getUint16(11, true), 10, 21_600) &&
    within(v.getUint16(13, true), 2500, 3500)
  );
}

function meaning(content: readonly number[], at: number): Heard | null {
  const id = content[0];
  const body = bodyOf(content);
  if (body === null) return id === ID.lease ? { kind: 'badLease', at } : null;
  const v = view(body);
  if (id === ID.lease) {
    return {
      kind: 'lease',
      at,
      nonce: v.getUint32(1, true),
      session: v.getUint16(5, true),
      durationMs: v.getUint16(7, true),
      switches: v.getUint8(9),
    };
  }
  if (id === ID.clear) {
    return {
      kind: 'clear',
      at,
      nonce: v.getUint32(1, true),
      session: v.getUint16(5, true),
      cause: v.getUint8(7),
    };
  }
  if (id === ID.limits) return { kind: 'limits', at, allowed: limitsAllowed(body) };
  if (id === ID.limitsQuery) return { kind: 'query', at, tag: v.getUint8(0) };
  if (id === ID.trip) return { kind: 'trip', at };
  return id === ID.release ? { kind: 'release', at } : null;
}

/** Cuts the host's bytes into messages as the board does. */
export class HostReader {
  #content: number[] | null = null;
  readonly #onHeard: (heard: Heard) => void;

  constructor(onHeard: (heard: Heard) => void) {
    this.#onHeard = onHeard;
  }

  /** One byte has arrived at the board. */
  byte(byte: number, at: number): void {
    const content = this.#content;
    if (byte < 0x80) {
      content?.push(byte);
      return;
    }
    this.#content = byte === 0xf0 ? [] : null;
    if (byte === 0xff) this.#onHeard({ kind: 'systemReset', at });
    if (byte !== 0xf7 || content === null || content.length > LONGEST) return;
    const heard = meaning(content, at);
    if (heard !== null) this.#onHeard(heard);
  }
}
