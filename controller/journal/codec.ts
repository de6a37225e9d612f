import { deflateRawSync, inflateRawSync } from 'node:zlib';

/**
 * Words that rows repeat, most frequent last. It is part of the file format: a change to this text
 * makes every packed row unreadable, so a better one gets a codec number of its own.
 */
const DICTIONARY_1 = Buffer.from(
  '"kind":"bag-in","by":"bag":{"label":"cutId":"beta":0,"thicknessMm":"massKg":"startC":"agoS":0' +
    '"restart":{"awayMs":"quality":"absent""offline""crc""range""power-on""celsius":null' +
    '"link":"down""leaseRefused":"latched":"regulatingClosed":true,"guardClosed":null,"levelOk":null' +
    '{"widthS":600,"startMs":1790000000000,"firstSequence":"lastSequence":"count":60,"minC":"meanC":"maxC":' +
    '"wallTrusted":false,"commands":[{"id":"ambient":{"celsius":"second":{"celsius":' +
    '{"sequence":1,"wallMs":179,"bathC":null,"setpointC":null,"duty":0,"bags":[]}' +
    '{"sequence":1,"wallMs":179,"bathC":68.0625,"setpointC":68,"duty":0.1,"bags":[{"bagId":"bag-1",' +
    '"coreC":6,"coldC":6,"hotC":6,"log10":0},{"bagId":"bag-2","coreC":6,"coldC":6,"hotC":6,"log10":' +
    '{"sequence":1,"monotonicMs":1,"wallMs":179,"wallTrusted":true,"readings":{"bath":{"celsius":68.0625,' +
    '"quality":"good","sequence":1,"monotonicMs":1},"second":null,"ambient":null,"cores":[]},' +
    '"board":{"link":"up","regulatingClosed":false,"guardClosed":true,"levelOk":true,"leaseRefused":null,' +
    '"latched":null},"journalLagMs":0,"commands":[],"restart":null}',
);

const PLAIN = 0;
const DEFLATE_1 = 1;
/** Rows are short, so a small window and little memory make starting the compressor cheap. */
const OPTIONS = { dictionary: DICTIONARY_1, level: 6, windowBits: 12, memLevel: 5 } as const;

/**
 * Packs plain data as JSON, deflated against a dictionary of our own words: one byte that names the
 * codec, then the payload. Short rows mean fewer pages a commit, and so less wear of an SD card.
 */
export function pack(value: unknown): Buffer {
  return packText(JSON.stringify(value));
}

/** Packs text, exactly. */
export function packText(text: string): Buffer {
  const plain = Buffer.from(text, 'utf8');
  const deflated = deflateRawSync(plain, OPTIONS);
  const small = deflated.length < plain.length;
  return Buffer.concat([Buffer.of(small ? DEFLATE_1 : PLAIN), small ? deflated : plain]);
}

/** The text that `packText` was given. Throws where the bytes are not of a known codec or damaged. */
export function unpackText(packed: Uint8Array): string {
  const payload = packed.subarray(1);
  if (packed[0] === PLAIN) return Buffer.from(payload).toString('utf8');
  if (packed[0] === DEFLATE_1) return inflateRawSync(payload, OPTIONS).toString('utf8');
  throw new Error(`a row is packed with codec ${packed[0] ?? 'none'}, which this version does not know`);
}

/** The data that `pack` was given. */
export function unpack<T>(packed: Uint8Array): T {
  return JSON.parse(unpackText(packed)) as T;
}
