import { alarmIdSchema } from '../../shared/wire/alarm.ts';
import { MAX_BAGS } from '../../shared/wire/command.ts';
import type { Status } from '../../shared/wire/status.ts';
import type { StreamCounts } from './viewer.ts';

/** What the metrics are made from. */
export interface MetricsInput {
  readonly status: Status | null;
  readonly sequence: number;
  readonly journalLagMs: number;
  readonly viewers: number;
  readonly stream: StreamCounts;
  readonly residentBytes: number;
  readonly uptimeMs: number;
  readonly version: string;
}

type Labels = Readonly<Record<string, string>>;
interface Metric {
  readonly name: string;
  readonly type: 'gauge' | 'counter';
  readonly help: string;
  readonly values: readonly { readonly labels?: Labels; readonly value: number | null }[];
}

/** The content type of the Prometheus text format, version 0.0.4. */
export const METRICS_TYPE = 'text/plain; version=0.0.4; charset=utf-8';

/**
 * The state as Prometheus text. Base units in the names; every label has a fixed set of values.
 * What is not known has no line: a stale number must not look like a fresh one.
 */
export function metricsText(input: MetricsInput): string {
  const metrics = [...bathMetrics(input.status), ...bagMetrics(input.status), ...ownMetrics(input)];
  return metrics.map(lines).join('');
}

function bathMetrics(status: Status | null): Metric[] {
  const bath = status?.bath.quality === 'good' ? status.bath : null;
  const age = status?.bath.ageMs ?? null;
  return [
    gauge('bath_temperature_celsius', 'Water temperature by the bath probe.', bath?.celsius ?? null),
    gauge('bath_reading_age_seconds', 'Age of the last good bath reading.', age === null ? null : age / 1000),
    gauge('setpoint_celsius', 'Wanted bath temperature.', status?.setpointC ?? null),
    gauge('heat_duty_ratio', 'Wanted fraction of full heat, 0 to 1.', status?.heat.duty ?? null),
    gauge('heat_granted', '1 while heat is granted.', flag(status?.heat.granted)),
    gauge('heat_stopped', '1 while a person has stopped the heat.', flag(status?.heat.stopped)),
    {
      name: 'bathkeeper_alarm_active',
      type: 'gauge',
      help: '1 while the condition behind an alarm holds.',
      values: alarmIdSchema.options.map((alarm) => ({
        labels: { alarm },
        value: status && flag(status.alarms.some((one) => one.alarmId === alarm && one.active)),
      })),
    },
  ];
}

function bagMetrics(status: Status | null): Metric[] {
  const bags = (status?.bags ?? []).filter((bag) => bag.outAtMs === null).slice(0, MAX_BAGS);
  const each = (value: (bag: Status['bags'][number]) => number | null): Metric['values'] =>
    bags.map((bag, index) => ({ labels: { place: String(index + 1) }, value: value(bag) }));
  return [
    {
      name: 'bathkeeper_bag_core_celsius',
      type: 'gauge',
      help: 'Estimated core temperature, middle case, of the bags in the bath by their order.',
      values: each((bag) => bag.coreC),
    },
    {
      name: 'bathkeeper_bag_lethality_log10_ratio',
      type: 'gauge',
      help: 'Log10 reduction, worst case, under the standard of the food.',
      values: each((bag) => bag.lethality[0]?.log10 ?? null),
    },
  ];
}

function ownMetrics(input: MetricsInput): Metric[] {
  const { stream } = input;
  return [
    counter('ticks_total', 'Number of the last committed tick; goes on across restarts.', input.sequence),
    gauge('journal_lag_seconds', 'Age of the oldest row not on disk.', input.journalLagMs / 1000),
    gauge('stream_viewers', 'Open streams.', input.viewers),
    counter('stream_messages_total', 'Messages sent to viewers.', stream.messages),
    counter('stream_backfills_total', 'Times a viewer was given the past.', stream.backfills),
    counter(
      'stream_degraded_total',
      'Messages with the latest state only, to slow viewers.',
      stream.degraded,
    ),
    counter('stream_refused_total', 'Viewers sent away because all places were taken.', stream.refused),
    counter('stream_lost_total', 'Viewers given up because nothing came back.', stream.lost),
    gauge('process_resident_memory_bytes', 'Resident memory of the controller.', input.residentBytes),
    gauge('uptime_seconds', 'Time since the server started.', input.uptimeMs / 1000),
    {
      name: 'bathkeeper_build_info',
      type: 'gauge',
      help: 'Always 1; the label says which code runs.',
      values: [{ labels: { version: input.version }, value: 1 }],
    },
  ];
}

function gauge(name: string, help: string, value: number | null): Metric {
  return { name: `bathkeeper_${name}`, type: 'gauge', help, values: [{ value }] };
}

function counter(name: string, help: string, value: number): Metric {
  return { name: `bathkeeper_${name}`, type: 'counter', help, values: [{ value }] };
}

function flag(on: boolean | undefined): number | null {
  return on === undefined ? null : Number(on);
}

function lines(metric: Metric): string {
  const known = metric.values.filter((one) => one.value !== null);
  if (known.length === 0) return '';
  const rows = known.map(({ labels, value }) => `${metric.name}${labelText(labels)} ${value}\n`);
  return `# HELP ${metric.name} ${metric.help}\n# TYPE ${metric.name} ${metric.type}\n${rows.join('')}`;
}

function labelText(labels: Labels | undefined): string {
  if (labels === undefined) return '';
  const pairs = Object.entries(labels).map(
    ([name, value]) =>
      `${name}="${value.replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('\n', '\\n')}"`,
  );
  return `{${pairs.join(',')}}`;
}
