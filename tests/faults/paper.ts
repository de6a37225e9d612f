import { UNSEEN } from '../../shared/bath/unseen.ts';
import type { HealthySummary, KindSummary } from './summary.ts';

const time = (seconds: number | null) =>
  seconds === null ? '-' : seconds < 600 ? `${Math.round(seconds)} s` : `${(seconds / 60).toFixed(0)} min`;

function detected({ detectedBy, runs }: KindSummary): string {
  if (detectedBy.length === 0) return '-';
  return detectedBy.map(([id, n]) => (n === runs ? id : `${id} ${n}`)).join(', ');
}

function passes({ kept, runs, excused }: KindSummary): string {
  const shares = excused.map(({ limit, why, share }) => `${limit} ${Math.round(100 * share)} % (${why})`);
  return [`${kept}/${runs}`, ...shares].join('; ');
}

/** The table: fault x detected by x median and worst time x peak water temperature. */
export function faultTable(summaries: readonly KindSummary[]): string[] {
  const head = '| fault | rig | detected by | median | worst | peak water | over its limit | kept |';
  const rows = summaries.map((one) => {
    const over = one.worstOverC <= 0 ? 'never' : `${one.worstOverC.toFixed(1)} °C`;
    return `| ${one.kind.id} | ${one.kind.rigClass} | ${detected(one)} | ${time(one.medianS)} | ${time(one.worstS)} | ${one.peakC.toFixed(1)} °C | ${over} | ${passes(one)} |`;
  });
  return [head, '|---|---|---|---|---|---|---|---|', ...rows];
}

/** The sound cooks in words. */
export function healthyLines({ cooks, falseTrips, falseHigh, rang }: HealthySummary): string[] {
  const others = rang.map(([id, n]) => `${id} ${n}`).join(', ');
  return [
    `Sound cooks: ${cooks}. False trips: ${falseTrips} (at most 1 in 1,000). False alarms of highest priority: ${falseHigh} (at most 5 in 1,000).`,
    `Alarms of lower priority that rang in them, each with something behind it or not: ${others || 'none'}.`,
  ];
}

/** The list of what no rig can see. */
export function unseenLines(): string[] {
  const rows = Object.values(UNSEEN).map(
    ({ fault, rigs, why, help }) => `| ${fault} | ${rigs} | ${why} | ${help} |`,
  );
  return ['| fault | rigs | why | what helps |', '|---|---|---|---|', ...rows];
}

/** What a whole campaign leaves on paper. */
export interface Paper {
  readonly date: string;
  readonly machine: string;
  readonly seeds: number;
  /** Null where it was run in parts. */
  readonly minutes: number | null;
  readonly summaries: readonly KindSummary[];
  readonly healthy: HealthySummary;
  readonly failures: readonly string[];
}

/** The results as a page. */
export function resultsPage(paper: Paper): string {
  const { date, machine, seeds, minutes, summaries, healthy, failures } = paper;
  return [
    '# What the fault campaign found',
    '',
    `${date}, ${machine}. ${summaries.length} kinds of fault x ${seeds} seeds and ${healthy.cooks} sound cooks${minutes === null ? '' : ` in ${minutes.toFixed(0)} min`}: \`npm run campaign -- --seeds ${seeds}\`.`,
    '',
    'The real tick on a virtual clock against the simulated bath; size, power, loss, lag, noise, room, onset and size of the fault are drawn. Judged by the truth of the plant, never by what the controller believes. How it works, the limits and how to repeat a seed: [README.md](README.md).',
    '',
    failures.length === 0
      ? '**Every limit that nothing excuses was kept.**'
      : `**${failures.length} failures:**`,
    ...failures.map((line) => `- ${line}`),
    '',
    ...faultTable(summaries),
    '',
    '`rig`: full = two switches, two probes, level switch; simple = one of each and no level switch. `median`, `worst`: from the onset (dead elements: from the first heat asked for after it) to the first alarm that names the fault; `worst` is `-` where some seeds were not named. Where no limit asks for a name, the alarm that stood first, whatever it says. `kept`: seeds that kept every limit not excused; then, for each excused limit, the share that kept it and the entry of the list below.',
    '',
    ...healthyLines(healthy),
    '',
    '## What a rig cannot see',
    '',
    ...unseenLines(),
    '',
  ].join('\n');
}
