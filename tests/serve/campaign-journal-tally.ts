import { readFileSync, writeFileSync } from 'node:fs';
import { cpus } from 'node:os';

/** What a campaign against the log has found so far. */
export interface Tally {
  kills: number;
  acknowledged: number;
  torn: number;
  /** Rows that had been acknowledged, are gone after a kill or with a damaged database, and nothing said so. Must be 0. */
  lost: number;
  /** Acknowledged rows that went with what was damaged, and were told. */
  told: number;
  /** Rows on disk that differ from what was written, without an error. Must be 0. */
  wrong: number;
  /** What each kind of damage led to. */
  outcomes: Map<string, number>;
  faults: string[];
  seeds: number[];
  seconds: number;
}

/** An empty count. */
export function newTally(): Tally {
  return {
    kills: 0,
    acknowledged: 0,
    torn: 0,
    lost: 0,
    told: 0,
    wrong: 0,
    outcomes: new Map(),
    faults: [],
    seeds: [],
    seconds: 0,
  };
}

/** The paper of a campaign, in Markdown. */
export function results(tally: Tally): string {
  const outcomes = [...tally.outcomes].sort().map(([name, count]) => `| ${name} | ${count} |`);
  return `# What the campaign against the log found

${new Date().toISOString().slice(0, 10)}, ${cpus().length} cores (${cpus()[0]?.model ?? 'unknown'}), Node ${process.version}, seeds ${tally.seeds.join(', ')}, ${tally.seconds.toFixed(0)} s.
Made by \`npm run campaign:journal\` (in pieces of one seed each).

- ${tally.kills} kill -9 of the real journal process under load: ${tally.acknowledged} rows acknowledged.
- ${tally.torn} torn, truncated, garbled or bit-flipped database and write-ahead-log files.
- Acknowledged rows lost and not told: ${tally.lost}. Rows that differ from what was written, without an error: ${tally.wrong}.
- Rows that the damage took along and that were told, with their numbers and times and the damaged files kept: ${tally.told}.

| damage and what came of it | times |
| --- | --- |
${outcomes.join('\n')}
`;
}

/** The counts of earlier pieces. */
export function tallyFrom(path: string): Tally {
  const kept = JSON.parse(readFileSync(path, 'utf8')) as Omit<Tally, 'outcomes'> & {
    outcomes: [string, number][];
  };
  return { ...kept, outcomes: new Map(kept.outcomes) };
}

/** Keeps the counts for the next piece. */
export function keepTally(path: string, tally: Tally): void {
  writeFileSync(path, JSON.stringify({ ...tally, outcomes: [...tally.outcomes] }));
}
