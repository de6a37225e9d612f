import { checkConfig } from '../shared/wire/config.ts';
import type { TickInput } from '../shared/wire/tick.ts';
import { lastOfEach } from './journal/last-of-each.ts';
import type { CookDetail, JournalReader, Recorded, ReplayPlan } from './journal/reader.ts';
import { readable } from './journal/tail.ts';
import { settingsFrom } from './tick/settings.ts';
import { STATE_VERSION, startState, type TickState, withSettings } from './tick/state.ts';
import { type TickOutput, tick } from './tick/tick.ts';

/** One place where the replay and the record part. */
export interface Difference {
  readonly sequence: number;
  readonly what: 'sample' | 'events' | 'alarms' | 'results' | 'cook' | 'bags' | 'state';
  readonly recorded: string;
  readonly replayed: string;
}

/** What a replay found. */
export interface ReplayReport {
  readonly cookId: string;
  readonly fromSequence: number;
  readonly throughSequence: number;
  readonly ticks: number;
  /** Sequences that are not in the log. */
  readonly missing: number;
  /** Whole states compared, beside every tick's outputs. */
  readonly snapshots: number;
  readonly differences: number;
  /** The first of them. */
  readonly shown: readonly Difference[];
  /** Versions of the code that recorded, where they are not this one. */
  readonly otherCode: readonly string[];
}

const PAGE = 500;
const SHOWN = 20;

/**
 * Runs a cook's recorded inputs through the tick again and compares every output with the record, bit for bit: the
 * sample, the events, the alarms, the answers and the rows of cook and bags of each tick, and the whole state wherever a
 * snapshot was taken. Leases are not in the record: the sample says what heat was asked for. With `from` it begins at
 * the last state kept before that tick, else at the last before the cook.
 * @throws BathkeeperError for an unknown cook, and for a state or an input that cannot be read, with what can be used
 * instead; Error where the log begins after the cook or its snapshot is of another form
 */
export async function replayCook(
  reader: JournalReader,
  cookId: string,
  codeVersion: string,
  from = 0,
): Promise<ReplayReport> {
  const plan = await reader.replayPlan(cookId, from);
  const rows = rowsOf(await reader.cook(cookId));
  const shown: Difference[] = [];
  let differences = 0;
  let ticks = 0;
  let snapshots = 0;
  let state = beginning(plan, codeVersion);
  let after = plan.snapshot?.sequence ?? 0;
  let expected = after;
  let missing = 0;
  let kept = plan.snapshot?.stateJson ?? null;
  for (;;) {
    const page = await reader.recorded(after, plan.throughSequence, PAGE);
    for (const recorded of page) {
      const { sequence } = recorded.input;
      if (expected > 0) missing += sequence - expected - 1;
      state = keptInstead(recorded.input, kept) ?? state;
      kept = recorded.stateJson;
      state = configured(plan, state, sequence - 1, codeVersion);
      const stepped = tick(state, recorded.input);
      state = stepped.state;
      expected = sequence;
      ticks++;
      if (recorded.stateJson !== null) snapshots++;
      for (const found of [...compare(recorded, stepped.output, state), ...rows(sequence, stepped.output)]) {
        differences++;
        if (shown.length < SHOWN) shown.push(found);
      }
    }
    after = page.at(-1)?.input.sequence ?? after;
    if (page.length < PAGE) break;
  }
  const otherCode = [...new Set(plan.runs.map((run) => run.codeVersion))].filter(
    (one) => one !== codeVersion,
  );
  const { throughSequence } = plan;
  const fromSequence = Math.max(plan.firstSequence, (plan.snapshot?.sequence ?? 0) + 1);
  return { cookId, fromSequence, throughSequence, ticks, missing, snapshots, differences, shown, otherCode };
}

function beginning(plan: ReplayPlan, codeVersion: string): TickState {
  if (plan.snapshot) {
    const state = JSON.parse(plan.snapshot.stateJson) as TickState;
    if (state.version === STATE_VERSION) return state;
    throw new Error(
      `the snapshot before this cook is of form ${state.version}, this code has form ${STATE_VERSION}: replay it with version ${plan.snapshot.codeVersion}`,
    );
  }
  const [first] = plan.runs;
  if (!first) throw new Error('the log names no run of the controller: there is nothing to replay');
  return startState(settings(first.configJson, codeVersion));
}

/**
 * A restart on rows that the chain does not vouch for goes on from a state of its own, kept after the last of them: those
 * rows are not what was recorded, so no replay of them gives it.
 */
function keptInstead({ restart }: TickInput, kept: string | null): TickState | null {
  if (restart?.log?.unsoundAfter === undefined || kept === null) return null;
  return readable<TickState>(() => kept);
}

/** Where a run of the controller began after this sequence, its configuration holds from here on. */
function configured(plan: ReplayPlan, state: TickState, sequence: number, codeVersion: string): TickState {
  const run = plan.runs.findLast((one) => one.afterSequence === sequence);
  return run ? withSettings(state, settings(run.configJson, run.codeVersion || codeVersion)) : state;
}

function settings(configJson: string, codeVersion: string): TickState['settings'] {
  const checked = checkConfig(JSON.parse(configJson));
  if (!checked.ok) throw new Error(`the recorded configuration is not one: ${checked.faults.join('; ')}`);
  return settingsFrom(checked.config, codeVersion);
}

function compare(recorded: Recorded, output: TickOutput, state: TickState): Difference[] {
  const { sequence } = recorded.input;
  const found: Difference[] = [];
  const same = (what: Difference['what'], before: string, now: string): void => {
    if (before !== now) found.push({ sequence, what, recorded: before, replayed: now });
  };
  const list = (rows: readonly unknown[]) => rows.map((row) => JSON.stringify(row)).join('\n');
  same('sample', recorded.sample, JSON.stringify(output.sample));
  same('events', recorded.events.join('\n'), list(output.events));
  same('alarms', recorded.alarms.join('\n'), list(output.alarms));
  const results = recorded.commands.map((row) => (JSON.parse(row) as { result: unknown }).result);
  same('results', list(results), list(output.results));
  if (recorded.stateJson !== null) same('state', recorded.stateJson, JSON.stringify(state));
  return found;
}

/** Compares the rows of cook and bags that a tick gave with the versions in the record. */
function rowsOf({ cook, cookVersions, bagVersions }: CookDetail) {
  const { cookId } = cook;
  const cooks = grouped(cookVersions);
  const bags = grouped(bagVersions);
  return (sequence: number, output: TickOutput): Difference[] => {
    const found: Difference[] = [];
    const same = (what: 'cook' | 'bags', recorded: string, replayed: string): void => {
      if (recorded !== replayed) found.push({ sequence, what, recorded, replayed });
    };
    const own = output.cook?.cookId === cookId ? JSON.stringify(output.cook) : '';
    same('cook', cooks.get(sequence) ?? '', own);
    const given = lastOfEach(output.bags.filter((bag) => bag.cookId === cookId));
    same('bags', bags.get(sequence) ?? '', given.map((bag) => JSON.stringify(bag)).join('\n'));
    return found;
  };
}

function grouped(versions: readonly { readonly sequence: number; readonly row: unknown }[]) {
  const bySequence = new Map<number, string>();
  for (const { sequence, row } of versions) {
    const before = bySequence.get(sequence);
    const text = JSON.stringify(row);
    bySequence.set(sequence, before === undefined ? text : `${before}\n${text}`);
  }
  return bySequence;
}
