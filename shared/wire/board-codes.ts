/** Numbers in the board's messages and what they mean (hardware/firmware/PROTOCOL.md, sections 3 to 6). */

/** What an answer's code says, and what to do about it. */
export interface AnswerCode {
  name: string;
  meaning: string;
  action: string;
}

/** Answer codes, the code being the index. */
export const ANSWER_CODES: readonly AnswerCode[] = [
  { name: 'ok', meaning: 'done', action: 'nothing' },
  { name: 'badCrc', meaning: 'the message was damaged on its way', action: 'check the USB cable' },
  {
    name: 'badLength',
    meaning: 'the board expects another length',
    action: 'update host or firmware so that both match',
  },
  {
    name: 'unknownId',
    meaning: 'the board does not know this message',
    action: 'update host or firmware so that both match',
  },
  {
    name: 'noSession',
    meaning: 'limits are not set and read back',
    action: 'send limits, then read them back',
  },
  {
    name: 'nonceUnknown',
    meaning: 'the board never issued this nonce, or forgot it',
    action: 'use the latest status',
  },
  {
    name: 'nonceStale',
    meaning: 'the status was over 700 ms old',
    action: 'find what slows the cable or the host',
  },
  { name: 'nonceSpent', meaning: 'this status was answered before', action: 'originate one lease a tick' },
  {
    name: 'badDuration',
    meaning: 'the lease is empty, too long, or over already',
    action: 'ask for 1 to 2000 ms',
  },
  {
    name: 'badSwitches',
    meaning: 'this board has not those switches',
    action: 'ask for the switches that are fitted',
  },
  { name: 'latched', meaning: 'a trip is latched', action: 'go and look, then clear it' },
  { name: 'condition', meaning: 'a condition forbids heat', action: 'mend what blocks it' },
  { name: 'outsideCeiling', meaning: 'limits beyond those compiled in', action: 'tighten them' },
  { name: 'badRom', meaning: 'not the ROM code of a DS18B20', action: 'read the ROM code again' },
  { name: 'notLatched', meaning: 'no trip to clear', action: 'nothing' },
  {
    name: 'wrongCause',
    meaning: 'another trip is latched than the one named',
    action: 'show the person the cause latched',
  },
  {
    name: 'badArgument',
    meaning: 'pattern or seconds out of range',
    action: 'ask for pattern 0 to 3 and up to 600 s',
  },
  { name: 'busy', meaning: 'the board is still storing the last change', action: 'try again in a second' },
];

/** Causes of a trip, the cause being the index. */
export const TRIP_CAUSES = [
  'none',
  'overTemperature',
  'probeSilent',
  'probeFailing',
  'levelLow',
  'heatTooLong',
  'linkCorrupt',
  'host',
  'switchStuck',
  'memory',
  'torn',
] as const;
/** Name of a cause of a trip. */
export type TripCause = (typeof TRIP_CAUSES)[number];

/** Why a lease would be refused now: names of the bits of `blocks`, lowest first. */
export const BLOCKS = [
  'noSession',
  'latched',
  'overTemperature',
  'probeStale',
  'levelLow',
  'switchStuck',
  'eepromFault',
  'heatTooLong',
  'linkCorrupt',
] as const;
/** Name of something that blocks a lease. */
export type Block = (typeof BLOCKS)[number];

/** Names of the bits set in `blocks`. */
export const blockNames = (blocks: number): Block[] => BLOCKS.filter((_, bit) => (blocks & (1 << bit)) !== 0);

/** Name of a cause of a trip, or `unknown` with its number for one this version does not know. */
export const tripCauseName = (cause: number): string => TRIP_CAUSES[cause] ?? `unknown ${cause}`;

/** Bits of a probe message's flags. */
export const PROBE_FLAG = {
  good: 0x01,
  crcFailed: 0x02,
  implausible: 0x04,
  silent: 0x08,
  powerOnSuspected: 0x10,
  bath: 0x20,
  resolutionReset: 0x40,
  busShorted: 0x80,
} as const;

/** Bits of a status's reset cause. */
export const RESET_CAUSE = {
  powerOn: 0x01,
  external: 0x02,
  brownOut: 0x04,
  watchdog: 0x08,
  bootloader: 0x80,
} as const;
