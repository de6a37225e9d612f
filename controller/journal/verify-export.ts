import { z } from 'zod';
import { type CookExport, chainSchema } from '../../shared/wire/export.ts';
import { hex, type LeafKind, LINK_BYTES, leafOf, linkIn } from './chain.ts';
import { sealOf } from './chain-export.ts';
import { newestBags } from './export.ts';
import type { FoundLeaf } from './leaves.ts';
import { Findings, type VerifyReport } from './verify.ts';

/** Only what the check itself needs; the rows stay as they are read, for they are what is checked. */
const shape = z.looseObject({
  format: z.literal('bathkeeper-cook'),
  version: z.literal(2),
  throughSequence: z.number().int(),
  cook: z.looseObject({ cookId: z.string() }),
  cookVersions: z.array(z.looseObject({ sequence: z.number(), row: z.looseObject({}) })),
  bagVersions: z.array(z.looseObject({ sequence: z.number(), row: z.looseObject({ bagId: z.string() }) })),
  commands: z.array(z.looseObject({ sequence: z.number() })),
  events: z.array(z.looseObject({ sequence: z.number() })),
  alarms: z.array(z.looseObject({ sequence: z.number() })),
  samples: z.array(z.looseObject({ sequence: z.number() })),
  bags: z.array(z.unknown()),
  runs: z.array(z.unknown()),
  gaps: z.array(z.unknown()),
  chain: chainSchema,
});

/**
 * Holds an exported JSON document against the chain within it. `asked` is a link written down elsewhere, to look for.
 * Throws an Error with words for people where the text is not such a document at all.
 */
export function verifyExport(text: string, asked: string | null = null): VerifyReport {
  const document = parsed(text);
  const { cookId } = document.cook;
  const findings = new Findings(asked);
  const rows = new Rows(document);
  let before = Buffer.from(document.chain.before, 'hex') as Uint8Array;
  for (const link of document.chain.links) {
    const [sequence, storedText, input, others] = link;
    const stored = Buffer.from(storedText, 'base64');
    const count = Math.max(0, (stored.length - LINK_BYTES) / 4);
    const own = rows.of(sequence);
    if (![storedText, input, ...others.map(([, digest]) => digest)].every(canonical)) {
      findings.add(sequence, `the link of tick ${sequence}`, 'its base64 is not as it was written');
    }
    const leaves = placed(sequence, cookId, count, [[0, input], ...others], own);
    findings.check({ sequence, before, stored, leaves });
    before = linkIn(stored);
  }
  findings.unchained = document.chain.unchained;
  if (findings.unchained === 0) rows.left(findings);
  checkWhole(document, findings);
  const firstSequence = document.chain.links[0]?.[0] ?? 0;
  return findings.report({
    cookId,
    source: 'export',
    firstSequence,
    throughSequence: document.throughSequence,
  });
}

/** Base64 has unused bits, which a lenient reader passes over. */
const canonical = (text: string) => Buffer.from(text, 'base64').toString('base64') === text;

function parsed(text: string): CookExport {
  let raw: unknown;
  try {
    raw = JSON.parse(text);
  } catch (error) {
    throw new Error(`the file is not JSON any more: ${(error as Error).message}`);
  }
  const found = shape.safeParse(raw);
  if (found.success) return raw as CookExport;
  const issue = found.error.issues[0];
  throw new Error(
    `the file is not the export of a cook, or not one with a chain: at ${issue?.path.join('.') || 'its top'}, ${issue?.message}`,
  );
}

/** The exported rows that a link covers, taken out as the links come. */
class Rows {
  readonly #lists: readonly { readonly kind: LeafKind; readonly rows: readonly Own[] }[];
  readonly #taken: number[];

  constructor({ samples, cookVersions, bagVersions, events, alarms, commands }: CookExport) {
    const of = (
      kind: LeafKind,
      rows: readonly { sequence: number }[],
      text = (row: object) => JSON.stringify(row),
    ) => ({
      kind,
      rows: rows.map((row, n) => ({ kind, number: n + 1, sequence: row.sequence, text: text(row) })),
    });
    const version = (row: object) => JSON.stringify((row as { row: unknown }).row);
    this.#lists = [
      of('sample', samples),
      of('cook', cookVersions, version),
      of('bag', bagVersions, version),
      of('event', events),
      of('alarm', alarms),
      of('command', commands),
    ];
    this.#taken = this.#lists.map(() => 0);
  }

  /** The rows not taken yet that stand at that tick or before it. */
  of(sequence: number): Own[] {
    return this.#lists.flatMap(({ rows }, n) => {
      const from = this.#taken[n] ?? 0;
      let to = from;
      while (to < rows.length && (rows[to]?.sequence ?? 0) <= sequence) to += 1;
      this.#taken[n] = to;
      return rows.slice(from, to);
    });
  }

  /** Rows that no link covers. */
  left(findings: Findings): void {
    for (const own of this.of(Number.MAX_SAFE_INTEGER)) {
      findings.add(own.sequence, nameOf(own), 'no link of the chain covers it: it was put in, or moved');
    }
  }
}

interface Own {
  readonly kind: LeafKind;
  /** Its place in the list of the export. */
  readonly number: number;
  readonly sequence: number;
  readonly text: string;
}

const nameOf = ({ kind, number, sequence }: Own) =>
  kind === 'sample'
    ? `the sample of tick ${sequence}`
    : `the ${kind} row (number ${number} of the file) of tick ${sequence}`;

/** Leaves in the order of the link: those given by their digest at their places, the file's own rows between them. */
function placed(
  sequence: number,
  cookId: string,
  count: number,
  given: readonly (readonly [number, string])[],
  own: readonly Own[],
): FoundLeaf[] {
  const at = new Map(given);
  const rest = own.map((one): FoundLeaf => {
    return {
      kind: one.kind,
      cookId,
      digest: leafOf(one.kind, cookId, one.text),
      row: nameOf(one),
      fault: null,
    };
  });
  const leaves: FoundLeaf[] = [];
  for (let n = 0; n < Math.max(count, given.length + own.length); n += 1) {
    const digest = at.get(n);
    if (digest === undefined) {
      const next = rest.shift();
      if (next) leaves.push(next);
      continue;
    }
    const row = `a digest of tick ${sequence} that stands for a row outside this file`;
    const kind = n === 0 ? 'input' : 'run';
    leaves.push({ kind, cookId: null, digest: Buffer.from(digest, 'base64'), row, fault: null });
  }
  return leaves;
}

/** What no link covers: the newest versions must be those of the chain, and the seal must hold. */
function checkWhole(document: CookExport, findings: Findings): void {
  const { cook, bags, cookVersions, bagVersions, throughSequence, chain } = document;
  const equal = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b);
  const not = 'it is not the newest of the versions in the same file';
  if (!equal(cook, cookVersions.at(-1)?.row)) findings.add(throughSequence, 'the cook', not);
  if (!equal(bags, newestBags(bagVersions))) findings.add(throughSequence, 'the bags', not);
  const last = chain.links.at(-1);
  if (last && hex(linkIn(Buffer.from(last[1], 'base64'))) !== chain.head) {
    findings.add(throughSequence, 'the head of the chain', 'it is not its last link');
  }
  if (sealOf(document, chain) !== chain.seal) {
    const why = 'they are not what the seal was made over: one of them, or the seal, was changed';
    findings.add(throughSequence, 'the cook, the bags, the runs, the gaps or the ends of the chain', why);
  }
}
