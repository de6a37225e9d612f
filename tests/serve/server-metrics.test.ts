import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { metricsText } from '../../controller/serve/metrics.ts';
import { alarmIdSchema } from '../../shared/wire/alarm.ts';
import type { Status } from '../../shared/wire/status.ts';
import { START_MS, statusAt } from './fake-hub.ts';
import { type Bed, makeBed } from './server-bed.ts';

interface Series {
  readonly name: string;
  readonly labels: Record<string, string>;
  readonly value: number;
}

/**
 * Reads the Prometheus text format, version 0.0.4, strictly, by the rules of its documentation
 * ("Exposition formats", "Data model": names [a-zA-Z_:][a-zA-Z0-9_:]*, HELP and TYPE before the
 * series, all series of one name together, each once, a line feed at the very end).
 */
function readMetrics(text: string): { series: Series[]; types: Map<string, string> } {
  expect(text.endsWith('\n')).toBe(true);
  const types = new Map<string, string>();
  const helped = new Set<string>();
  const series: Series[] = [];
  const keys = new Set<string>();
  let current = '';
  for (const line of text.slice(0, -1).split('\n')) {
    const help = /^# HELP ([a-zA-Z_:][a-zA-Z0-9_:]*) \S.*$/.exec(line);
    const type = /^# TYPE ([a-zA-Z_:][a-zA-Z0-9_:]*) (counter|gauge|histogram|summary|untyped)$/.exec(line);
    const row = /^([a-zA-Z_:][a-zA-Z0-9_:]*)(?:\{(.*)\})? (-?[0-9.e+-]+|NaN|[+-]Inf)$/.exec(line);
    if (help?.[1]) {
      expect(helped.has(help[1]), line).toBe(false);
      helped.add(help[1]);
    } else if (type?.[1] && type[2]) {
      expect(types.has(type[1]), line).toBe(false);
      types.set(type[1], type[2]);
      current = type[1];
    } else if (row?.[1]) {
      expect(row[1]).toBe(current);
      const labels = [...(row[2] ?? '').matchAll(/([a-zA-Z_][a-zA-Z0-9_]*)="((?:[^"\\\n]|\\[\\"n])*)"/g)];
      expect(labels.map((one) => one[0]).join(',')).toBe(row[2] ?? '');
      expect(keys.has(line.replace(/ \S+$/, '')), line).toBe(false);
      keys.add(line.replace(/ \S+$/, ''));
      const entries = labels.map((one): [string, string] => [one[1] ?? '', one[2] ?? '']);
      series.push({ name: row[1], labels: Object.fromEntries(entries), value: Number(row[3]) });
    } else {
      throw new Error(`not a line of the format: ${line}`);
    }
  }
  return { series, types };
}

const INPUT = {
  sequence: 7,
  journalLagMs: 1250,
  viewers: 2,
  stream: { messages: 5, backfills: 1, degraded: 0, refused: 0, lost: 0 },
  residentBytes: 1000,
  uptimeMs: 61_000,
  version: '0.1.0',
};
const COOK = { cookId: 'c', name: 'c', stage: 'holding', startedAtMs: 0, endedAtMs: null } as const;

let bed: Bed;
beforeEach(async () => {
  bed = await makeBed();
});
afterEach(() => bed.close());

describe('server, metrics in the Prometheus text format', () => {
  it('keeps the rules of the format, and its naming habits: our prefix, base units, counters in _total', async () => {
    bed.hub.startCook('cook-1');
    bed.hub.commit();
    const answer = await bed.ask({ path: '/metrics' });
    expect(answer.headers['content-type']).toBe('text/plain; version=0.0.4; charset=utf-8');
    const { series, types } = readMetrics(answer.text);
    expect(series.length).toBeGreaterThan(20);
    for (const { name } of series) {
      expect(name).toMatch(/^bathkeeper_/);
      // "Metric and label naming": base units, so neither milliseconds nor percent nor kilobytes.
      expect(name).not.toMatch(/_(ms|milliseconds|percent|kb|kilobytes|minutes|hours|fahrenheit)(_|$)/);
      expect(name.endsWith('_total')).toBe(types.get(name) === 'counter');
    }
  });

  it('says what the status says, in its units', () => {
    const { series } = readMetrics(metricsText({ ...INPUT, status: statusAt(7, START_MS, COOK) }));
    const value = (name: string) => series.find((one) => one.name === `bathkeeper_${name}`)?.value;
    expect(value('bath_temperature_celsius')).toBe(64.9375);
    expect(value('bath_reading_age_seconds')).toBe(0.4);
    expect(value('setpoint_celsius')).toBe(65);
    expect(value('heat_duty_ratio')).toBe(0.25);
    expect(value('heat_granted')).toBe(1);
    expect(value('heat_stopped')).toBe(0);
    expect(value('ticks_total')).toBe(7);
    expect(value('journal_lag_seconds')).toBe(1.25);
    expect(value('stream_viewers')).toBe(2);
    expect(value('uptime_seconds')).toBe(61);
    const cores = series.filter((one) => one.name === 'bathkeeper_bag_core_celsius');
    expect(cores).toEqual([{ name: 'bathkeeper_bag_core_celsius', labels: { place: '1' }, value: 41.2 }]);
  });

  it('shows an invalid reading as no line at all, not as the last good number', () => {
    const status = statusAt(7, START_MS, COOK);
    const stale: Status = { ...status, bath: { celsius: 64.9, quality: 'absent', ageMs: 60_000 } };
    const { series } = readMetrics(metricsText({ ...INPUT, status: stale }));
    expect(series.some((one) => one.name === 'bathkeeper_bath_temperature_celsius')).toBe(false);
    expect(series.find((one) => one.name === 'bathkeeper_bath_reading_age_seconds')?.value).toBe(60);
    const none = readMetrics(metricsText({ ...INPUT, status: null }));
    expect(none.series.some((one) => one.name === 'bathkeeper_alarm_active')).toBe(false);
  });

  it('bounds its labels: every alarm there is, once, and no more places than a bath has bags', () => {
    const status = statusAt(7, START_MS, COOK);
    const many = Array.from({ length: 30 }, (_, i) => ({ ...status.bags[0]!, bagId: `bag-${i}` }));
    const out = many.map((bag, i) => (i < 3 ? { ...bag, outAtMs: 1 } : bag));
    const { series } = readMetrics(metricsText({ ...INPUT, status: { ...status, bags: out } }));
    const alarms = series.filter((one) => one.name === 'bathkeeper_alarm_active');
    expect(alarms.map((one) => one.labels.alarm)).toEqual(alarmIdSchema.options);
    expect(alarms.filter((one) => one.value === 1).map((one) => one.labels.alarm)).toEqual(['bath-low']);
    expect(series.filter((one) => one.name === 'bathkeeper_bag_core_celsius')).toHaveLength(8);
  });

  it('escapes a label as the format wants it', () => {
    const text = metricsText({ ...INPUT, status: null, version: '1"\\\n2' });
    expect(text).toContain('version="1\\"\\\\\\n2"');
    readMetrics(text);
  });
});

describe('server, health', () => {
  it('is not well before the first commit, well after it, and not well again once commits stop', async () => {
    const early = await bed.ask({ path: '/api/health' });
    expect([early.status, early.json<{ error: { code: string } }>().error.code]).toEqual([
      503,
      'not-answering',
    ]);
    bed.hub.lagMs = 900;
    bed.hub.commit(3);
    bed.clock.monotonicMs += 9000;
    const well = await bed.ask({ path: '/api/health' });
    expect(well.json()).toEqual({
      ok: true,
      bootId: 'boot-1',
      sequence: 3,
      sinceCommitMs: 9000,
      journalLagMs: 900,
      viewers: 0,
    });
    bed.clock.monotonicMs += 2000;
    const silent = await bed.ask({ path: '/api/health' });
    expect(silent.status).toBe(503);
    expect(silent.json<{ error: { detail: string } }>().error.detail).toBe('No tick was committed for 11 s.');
  });
});
