import { Refusal } from './refusal.ts';

/** The text of a log, its lines ended by \n alone, and what had to be repaired to get it. */
export interface LogText {
  readonly text: string;
  readonly repairs: readonly string[];
}

/** More than this many seconds of log do not fit: about a month at one row a second. */
const MOST_BYTES = 256 * 1024 * 1024;

/**
 * Turns the bytes of a file into text: UTF-8 with or without byte order mark, UTF-16 with one, or the Windows-1252
 * that older loggers write their degree sign in.
 * @throws Refusal for an empty file, one too large, or one that is no text.
 */
export function decodeLog(bytes: Uint8Array): LogText {
  if (bytes.length === 0) throw new Refusal('the file is empty; expected a log with a row for each reading.');
  if (bytes.length > MOST_BYTES) {
    throw new Refusal(
      `the file has ${bytes.length} bytes; expected at most ${MOST_BYTES}. Take out the rows of this cook.`,
    );
  }
  const repairs: string[] = [];
  const text = decoded(bytes, repairs).replace(/\r\n?/g, '\n');
  if (!isText(text)) {
    throw new Refusal(
      'the file is not text; expected a log as CSV. If it comes from a spreadsheet, save it as CSV.',
    );
  }
  if (text.trim() === '')
    throw new Refusal('the file holds only blanks; expected a log with a row for each reading.');
  return { text, repairs };
}

function decoded(bytes: Uint8Array, repairs: string[]): string {
  const [first, second] = bytes;
  if (first === 0xff && second === 0xfe) return utf16('utf-16le', bytes, repairs);
  if (first === 0xfe && second === 0xff) return utf16('utf-16be', bytes, repairs);
  try {
    // Drops a byte order mark by itself.
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    repairs.push('The text is not UTF-8; it was read as Windows-1252.');
    return new TextDecoder('windows-1252').decode(bytes);
  }
}

function utf16(encoding: 'utf-16le' | 'utf-16be', bytes: Uint8Array, repairs: string[]): string {
  repairs.push(`The text was read as ${encoding.toUpperCase()}, by its byte order mark.`);
  return new TextDecoder(encoding).decode(bytes);
}

/** Signs that no logger writes: a few may be noise on a line, many are another kind of file. */
function isText(text: string): boolean {
  const end = Math.min(text.length, 65_536);
  let odd = 0;
  for (let i = 0; i < end; i++) {
    const code = text.charCodeAt(i);
    if ((code < 32 && code !== 9 && code !== 10 && code !== 12) || code === 0xfffd) odd++;
  }
  return odd * 100 <= end;
}
