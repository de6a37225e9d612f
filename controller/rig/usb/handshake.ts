import type { BoardAnswer, BoardLimitsReadBack, BoardStatus } from '../../../shared/wire/board.ts';
import { ANSWER_CODES } from '../../../shared/wire/board-codes.ts';
import { romBytes, romText } from '../../../shared/wire/rom.ts';
import type { RigFault, Wanted } from './view.ts';

/** The protocol this host speaks, and the firmware it was tested with (major.minor; a patch may differ). */
const PROTOCOL = 1;
const FIRMWARE = '0.1';
/** What our firmware calls itself, with or without `attended` after it. */
const OUR_NAME = /^Bathkeeper\b/;

/** True where the board's own name is that of our firmware. */
export const isOurs = (name: string | undefined): boolean => name !== undefined && OUR_NAME.test(name);

/** A board that cannot be heated with because of what runs on it, or null. */
export function statusFault(status: BoardStatus, wanted: Wanted | null): RigFault | null {
  const version = status.firmware.split('.').slice(0, 2).join('.');
  if (status.protocol !== PROTOCOL || version !== FIRMWARE) {
    const found = `The board runs firmware ${status.firmware}, protocol ${status.protocol}; expected ${FIRMWARE}.x, protocol ${PROTOCOL}.`;
    return { code: 'rig-firmware-mismatch', detail: found };
  }
  if (!status.guardFitted && wanted !== null && !wanted.attended) {
    const found =
      'The board has one switch only, for attended use: expected a board with a guard switch, or rig.attended true.';
    return { code: 'rig-firmware-mismatch', detail: found };
  }
  return null;
}

/** Why the board did not take the limits, or null. */
export function limitsAnswerFault(answer: BoardAnswer): RigFault | null {
  if (answer.code === 0) return null;
  const known = ANSWER_CODES[answer.code];
  const fields = ['maxRaw (highest temperature)', 'maxHeatS (longest heat)', 'silenceMs (longest silence)'];
  const outside = answer.code === 12 ? fields.filter((_, bit) => (answer.detail & (1 << bit)) !== 0) : [];
  const which = outside.length > 0 ? ` Outside: ${outside.join(', ')}.` : '';
  return {
    code: 'rig-limits-refused',
    detail: `The board answered ${answer.code} (${known?.meaning ?? 'unknown'}).${which} To do: ${known?.action ?? 'update host or firmware'}.`,
  };
}

/** What the board holds against what it was to hold, field by field; null where they agree and leases may follow. */
export function readBackFault(back: BoardLimitsReadBack, wanted: Wanted): RigFault | null {
  const { limits } = back;
  const pairs: [string, string | number, string | number][] = [
    ['bath probe', romText(limits.bathRom), wanted.bathRom],
    ['highest code', limits.maxCode, wanted.maxCode],
    ['longest heat, s', limits.maxHeatS, wanted.maxHeatS],
    ['longest silence, ms', limits.silenceMs, wanted.silenceMs],
  ];
  const wrong = pairs.filter(([, found, expected]) => found !== expected);
  if (wrong.length === 0 && back.set && back.readBack && back.session !== 0) return null;
  const words = wrong.map(([name, found, expected]) => `${name}: ${found}, expected ${expected}`);
  const detail = words.length > 0 ? words.join('; ') : 'the board opened no session';
  return { code: 'rig-limits-refused', detail: `Read back from the board: ${detail}.` };
}

/** The limits as the codec takes them. */
export const limitsOf = ({ bathRom, maxCode, maxHeatS, silenceMs }: Wanted) => ({
  bathRom: romBytes(bathRom),
  maxCode,
  maxHeatS,
  silenceMs,
});
