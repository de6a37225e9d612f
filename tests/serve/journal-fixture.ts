import { join } from 'node:path';
import type { JournalOptions } from '../../controller/journal/journal.ts';
import type { Command } from '../../shared/wire/command.ts';
import type { BagRow, CookRow, TickRecord } from '../../shared/wire/record.ts';
import type { BagSample } from '../../shared/wire/rows.ts';

/** 06:00 UTC on a made-up autumn day, away from any bucket's edge. */
export const START_MS = Date.UTC(2026, 9, 3, 6, 0, 3);
export const COOK_ID = 'hut-sunday';
export const BAGS = ['shoulder-1', 'shoulder-2', 'neck'] as const;

export function options(folder: string, more: Partial<JournalOptions> = {}): JournalOptions {
  return {
    path: join(folder, 'journal.sqlite'),
    bootId: 'boot-1',
    codeVersion: '0.1.0+test',
    configJson: '{"kitchen":"Refuge kitchen"}',
    speed: 1,
    ...more,
  };
}

export function cookRow(more: Partial<CookRow> = {}): CookRow {
  return {
    cookId: COOK_ID,
    name: 'Sunday, "two shoulders", and a neck',
    stage: 'heating',
    startedAtMs: START_MS,
    endedAtMs: null,
    codeVersion: '0.1.0+test',
    configJson: '{"kitchen":"Refuge kitchen"}',
    setpointC: 68,
    ...more,
  };
}

export function bagRow(bagId: string, more: Partial<BagRow> = {}): BagRow {
  return {
    bagId,
    label: `=Piece "${bagId}",\nleft`,
    cutId: 'lamb-shoulder',
    beta: 0.8,
    thicknessMm: 62.5,
    massKg: 1.9,
    startC: 4.25,
    endpoint: 'fork-tender',
    cookId: COOK_ID,
    assumed: false,
    inAtMs: START_MS + 5000,
    outAtMs: null,
    standardId: 'table-1',
    lethalityMetAtMs: null,
    ...more,
  };
}

/** What a tick of the fixture may differ in from the plain one. */
export interface TickMore extends Partial<Omit<TickRecord, 'input' | 'sample'>> {
  readonly wallMs?: number;
  readonly monotonicMs?: number;
  readonly bathC?: number | null;
  readonly bags?: readonly BagRow[];
  readonly bagIds?: readonly string[];
}

/**
 * One tick, the same for the same sequence: temperatures with all the digits that a double has, so that
 * a digit lost anywhere shows.
 */
export function tick(sequence: number, more: TickMore = {}): TickRecord {
  const wallMs = more.wallMs ?? START_MS + sequence * 1000;
  const monotonicMs = more.monotonicMs ?? sequence * 1000 + 0.123;
  const bathC = more.bathC === undefined ? 68 + Math.sin(sequence / 7) / 3 : more.bathC;
  const quality = bathC === null ? 'absent' : 'good';
  const bath = { celsius: bathC, quality, sequence, monotonicMs: monotonicMs - 140 } as const;
  return {
    input: {
      sequence,
      monotonicMs,
      wallMs,
      wallTrusted: true,
      readings: { bath, second: null, ambient: null, cores: [] },
      board: {
        link: 'up',
        regulatingClosed: sequence % 3 === 0,
        guardClosed: true,
        levelOk: true,
        leaseRefused: null,
        latched: null,
      },
      journalLagMs: 1000,
      commands: (more.commands ?? []).map(({ command }) => command),
      restart: null,
    },
    sample: {
      sequence,
      wallMs,
      bathC,
      setpointC: 68,
      duty: Math.abs(Math.sin(sequence)),
      bags: (more.bagIds ?? []).map((bagId, index) => bagSample(bagId, sequence, index)),
    },
    cookId: more.cookId === undefined ? COOK_ID : more.cookId,
    events: more.events ?? [],
    alarms: more.alarms ?? [],
    commands: more.commands ?? [],
    cook: more.cook ?? null,
    bags: more.bags ?? [],
  };
}

function bagSample(bagId: string, sequence: number, index: number): BagSample {
  const coreC = 4.25 + Math.log1p(sequence) * (5 + index / 3);
  return { bagId, coreC, coldC: coreC - 1 / 3, hotC: coreC + 1 / 7, log10: sequence * 1e-7 };
}

/**
 * The tick of a cook without end, the same for the same sequence in whatever process: every seventh
 * holds a command, the first the cook.
 */
export function endlessTick(sequence: number): TickRecord {
  const more = { bagIds: BAGS };
  if (sequence === 1) return tick(sequence, { ...more, cook: cookRow() });
  if (sequence % 7 !== 0)
    return tick(sequence, { ...more, bathC: sequence % 11 === 0 ? null : 68 + 1 / sequence });
  const command = { kind: 'stop-heat', id: `c${sequence}`, by: 'the cook' } as const;
  return tick(sequence, {
    ...more,
    commands: [taken(command)],
    events: [event(sequence, COOK_ID, 'heat-stopped')],
  });
}

/** A command of somebody, with its result. */
export function taken(command: Command, accepted = true): TickRecord['commands'][number] {
  const code = accepted ? null : 'setpoint-low';
  return { command, result: { id: command.id, accepted, code, detail: null } };
}

/**
 * A cook of `ticks` seconds from the first sequence on: started by a command, three bags put in one after
 * another, one taken out half-way, an alarm that comes and is acknowledged, ended in the last second.
 */
export function cookOf(ticks: number, first = 1, cookId = COOK_ID): TickRecord[] {
  const by = '+Ана "the cook"';
  const half = Math.floor(ticks / 2);
  return Array.from({ length: ticks }, (_, n) => {
    const sequence = first + n;
    const bagIds = BAGS.filter((_bag, index) => n >= 5 + index && (index > 0 || n < half));
    const base = { cookId, bagIds };
    if (n === 0) {
      const start = { kind: 'start-cook', id: 'c1', by, cookId, name: 'x', setpointC: 68 } as const;
      const commands = [taken({ ...start, lowSetpointConfirmed: false })];
      return tick(sequence, { ...base, commands, cook: cookRow({ cookId }) });
    }
    if (n >= 5 && n < 5 + BAGS.length) {
      const bag = bagRow(BAGS[n - 5] ?? '', { cookId });
      return tick(sequence, { ...base, bags: [bag], events: [event(sequence, cookId, 'bag-in')] });
    }
    if (n === half) return tick(sequence, { ...base, ...bagOut(sequence, cookId, by) });
    if (n === half + 1) return tick(sequence, { ...base, alarms: [alarm(sequence, cookId)] });
    if (n === ticks - 1) {
      const cook = cookRow({ cookId, stage: 'taken-out', endedAtMs: START_MS + sequence * 1000 });
      return tick(sequence, { ...base, cook, events: [event(sequence, cookId, 'cook-ended')] });
    }
    return tick(sequence, base);
  });
}

function bagOut(sequence: number, cookId: string, by: string) {
  const bag = bagRow(BAGS[0], { cookId, outAtMs: START_MS + sequence * 1000 });
  return { bags: [bag], commands: [taken({ kind: 'bag-out', id: 'c2', by, bagId: BAGS[0] }, false)] };
}

export function event(sequence: number, cookId: string, kind: string) {
  const wallMs = START_MS + sequence * 1000;
  return { sequence, wallMs, cookId, kind, text: `-${kind}; told`, data: { n: sequence, note: 'é ☂' } };
}

function alarm(sequence: number, cookId: string): TickRecord['alarms'][number] {
  return {
    sequence,
    wallMs: START_MS + sequence * 1000,
    cookId,
    alarmId: 'bath-low',
    priority: 'medium',
    from: 'normal',
    to: 'unacknowledged',
    detail: '66.1 °C, expected 67 to 69 °C',
    by: null,
  };
}
