/**
 * Files and functions that were over a limit when the limit came. The lists may only shrink: an entry that is within
 * the limit again, or larger than noted, fails the test.
 */
export const LONG_FILES: Readonly<Record<string, number>> = {};
export const LONG_FUNCTIONS: Readonly<Record<string, number>> = {};

/** Records of data: their length is the length of what was published, or of a table of words. */
export const DATA_FILES: readonly RegExp[] = [
  /^shared\/hazard\/standards\//,
  /^shared\/food\/data\//,
  /^shared\/food\/cuts[^/]*\.ts$/,
  /^shared\/wire\/errors\.ts$/,
  /^controller\/tick\/alarm\/table\.ts$/,
  /^tests\/(standards|physics)\/.*(data|figures|reference)[^/]*\.ts$/,
];
