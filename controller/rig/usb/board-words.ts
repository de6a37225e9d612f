import {
  ANSWER_CODES,
  type Block,
  blockNames,
  TRIP_CAUSES,
  tripCauseName,
} from '../../../shared/wire/board-codes.ts';
import { ERRORS } from '../../../shared/wire/errors.ts';
import type { RigFault } from './view.ts';

const CAUSE_WORDS: Readonly<Record<(typeof TRIP_CAUSES)[number], string>> = {
  none: 'nothing',
  overTemperature: 'the water was over the highest temperature set',
  probeSilent: 'the bath probe fell silent while heating',
  probeFailing: 'the bath probe gave damaged readings while heating',
  levelLow: 'the water stood too low while heating',
  heatTooLong: 'heat was on for longer than the longest time set',
  linkCorrupt: 'too many messages arrived damaged: check the USB cable',
  host: 'the controller asked for it',
  switchStuck: 'a switch output was high while it should be low: unplug the mains and look at the wiring',
  memory: 'the memory of the board was found changed',
  torn: 'power went while the board was storing a cut; look at the rig before clearing',
};

/** A latched cut in words. */
export function latchWords(cause: number, detail: number): string {
  return `${causeWords(cause)} (${tripCauseName(cause)}, ${detail})`;
}

function causeWords(cause: number): string {
  const name = TRIP_CAUSES[cause];
  return name === undefined ? 'a cause this version does not know' : CAUSE_WORDS[name];
}

/** Answers whose detail names more than a number. */
const LATCHED = ANSWER_CODES.findIndex(({ name }) => name === 'latched');
const CONDITION = ANSWER_CODES.findIndex(({ name }) => name === 'condition');

const BLOCK_WORDS: Readonly<Record<ReturnType<typeof blockNames>[number], string>> = {
  noSession: 'its limits are not set',
  latched: 'a cut is latched',
  overTemperature: 'the water is over the highest temperature set',
  probeStale: 'it has no fresh reading of the bath probe: check the plug and wires',
  levelLow: 'the water is too low: fill up, and see that the level switch floats free',
  switchStuck: 'a switch output is high while it should be low: unplug the mains and look at the wiring',
  eepromFault: 'it cannot store a cut: replace the board',
  heatTooLong: 'heat was on for the longest time set: it waits',
  linkCorrupt: 'too many messages arrived damaged: check the USB cable',
};

/** Why the board would refuse heat now, in words; empty where it would not. `but`: what is left out. */
export const blockWords = (blocks: number, but: readonly Block[] = []): string =>
  blockNames(blocks)
    .filter((name) => !but.includes(name))
    .map((name) => BLOCK_WORDS[name])
    .join('; ');

/** A refused lease or clear in words. */
export function refusalWords(code: number, detail: number): string {
  if (code === CONDITION) return blockWords(detail);
  if (code === LATCHED) return `a cut is latched: ${causeWords(detail)}. Go and look, then clear it`;
  const known = ANSWER_CODES[code];
  return known
    ? `${known.meaning} (${detail}): ${known.action}`
    : `answer ${code}, which this version does not know`;
}

/** A rig's fault in words: cause, what was seen, what to do. */
export const faultWords = ({ code, detail }: RigFault): string =>
  `${ERRORS[code].cause} ${detail} ${ERRORS[code].action}`;
