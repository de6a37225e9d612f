import { afterRestart, begin, type PlanOutput, plan } from '../../controller/reach/plan.ts';
import { codeFrom, startTest, takeAnswer } from '../../controller/reach/reachable.ts';
import { rosterOf } from '../../controller/reach/roster.ts';
import { emptyState, parseState, type ReachState } from '../../controller/reach/state.ts';
import {
  type Duty,
  type Outcome,
  type PlanInput,
  type Result,
  rulesOf,
} from '../../controller/reach/work.ts';
import { ALARMS } from '../../controller/tick/alarm/table.ts';
import type { AlarmId, AlarmState, AlarmView } from '../../shared/wire/alarm.ts';
import { reachSchema } from '../../shared/wire/reach.ts';
import type { DeliveryRow } from '../../shared/wire/reach-view.ts';
import type { AlarmRow } from '../../shared/wire/record.ts';

/** The hut's people: the night cook by push, then mail; the warden by webhook. Invented. */
export const HUT = {
  people: [
    {
      id: 'cook',
      name: 'Night cook',
      channels: [{ kind: 'push' }, { kind: 'mail', to: 'cook@hut.example' }],
    },
    {
      id: 'warden',
      name: 'Warden',
      channels: [{ kind: 'webhook', url: 'https://valley.example/hook/abc', secret: { env: 'HOOK' } }],
    },
  ],
  timeZone: 'Europe/Zurich',
  mail: { host: 'mail.example', from: 'bath@hut.example' },
  push: { contact: 'mailto:warden@hut.example' },
};

/** 25 November 2026, 02:00 in Zurich (winter time, UTC+1). */
export const NIGHT = Date.UTC(2026, 10, 25, 1, 0);

export const YES: Outcome = { ok: true, detail: 'taken' };
export const no = (why = 'no', more: Partial<Outcome & { ok: false }> = {}): Outcome => ({
  ok: false,
  permanent: false,
  at: 'answer',
  why,
  retryAfterMs: null,
  ...more,
});

/** An alarm as the page sees it, with the words of the table. */
export function view(
  alarmId: AlarmId,
  state: AlarmState,
  sinceMs: number,
  by: string | null = null,
): AlarmView {
  const { title, priority, cause, consequence, action, escalateAfterMin } = ALARMS[alarmId];
  const active = state !== 'returned-unacknowledged' && state !== 'latched';
  const detail = `${alarmId}: seen and expected.`;
  return {
    alarmId,
    title,
    priority,
    state,
    active,
    sinceMs,
    cause,
    consequence,
    action,
    detail,
    acknowledgedBy: by,
    rings: state === 'unacknowledged' || state === 'returned-unacknowledged',
    becauseOf: null,
    escalateAfterS: escalateAfterMin === null ? null : escalateAfterMin * 60,
    aside: null,
  };
}

export interface Sent {
  readonly atS: number;
  readonly who: string;
  readonly letterId: number;
  readonly attempt: number;
  readonly key: string;
  readonly kind: string;
  readonly subject: string;
  readonly text: string;
}

/** The plan with the clock, the alarms and the answers of the channels in the test's hand. */
export class Bench {
  readonly sent: Sent[] = [];
  readonly rows: DeliveryRow[] = [];
  readonly parts;
  state: ReachState;
  clockMs = 0;
  wallTrusted = true;
  /** What each kind of channel says to an attempt; undefined: nothing comes back. */
  answers: Record<string, Outcome | undefined> = { push: YES, mail: YES, webhook: YES, mqtt: YES };
  last: PlanOutput | null = null;
  private readonly alarms = new Map<AlarmId, AlarmView>();
  private changes: AlarmRow[] = [];
  private results: Result[] = [];
  private readonly startMs: number;

  constructor(config: unknown = HUT, startMs = NIGHT, duties: ReadonlyMap<string, Duty> = new Map()) {
    const checked = reachSchema.parse(config);
    this.startMs = startMs;
    this.state = emptyState(startMs);
    this.parts = { roster: rosterOf(checked), rules: rulesOf(checked, 'Hut kitchen', 'UTC'), duties };
  }

  get wallMs(): number {
    return this.startMs + this.clockMs;
  }

  /** A change of one alarm, seen by the plan with the next step. */
  alarm(alarmId: AlarmId, to: AlarmState, by: string | null = null, more: Partial<AlarmView> = {}): this {
    const before = this.alarms.get(alarmId);
    const rang = to === 'unacknowledged' || !before ? this.wallMs : before.sinceMs;
    this.changes.push({
      sequence: 1,
      wallMs: this.wallMs,
      cookId: null,
      alarmId,
      priority: ALARMS[alarmId].priority,
      from: before?.state ?? 'normal',
      to,
      detail: '',
      by,
    });
    if (to === 'normal') this.alarms.delete(alarmId);
    else this.alarms.set(alarmId, { ...view(alarmId, to, rang, by), ...more });
    return this;
  }

  /** Forgets what changed, as when the process dies before anybody looked; what stands still stands. */
  loseChanges(): this {
    this.changes = [];
    return this;
  }

  /** One step now; each attempt is answered before the next step. */
  step(more: Partial<PlanInput> = {}): this {
    const input: PlanInput = {
      clockMs: this.clockMs,
      wallMs: this.wallMs,
      wallTrusted: this.wallTrusted,
      standing: [...this.alarms.values()],
      rows: this.changes,
      results: this.results,
      viewers: null,
      ...more,
    };
    this.changes = [];
    this.results = [];
    const before = JSON.stringify(this.state);
    const output = plan(this.state, input, this.parts);
    if (JSON.stringify(this.state) !== before) throw new Error('the plan wrote into the state it was given');
    this.last = output;
    this.state = output.state;
    this.rows.push(...output.rows);
    for (const { letterId, attempt, channel, message } of output.sends) {
      const { key, kind, subject, text } = message;
      const who = `${channel.personId} ${channel.kind}`;
      this.sent.push({ atS: this.clockMs / 1000, who, letterId, attempt, key, kind, subject, text });
      const outcome = this.answers[channel.kind];
      if (outcome) this.results.push({ of: 'letter', letterId, attempt, outcome });
    }
    return this;
  }

  /** Steps of a second for so many seconds. */
  pass(seconds: number): this {
    for (let i = 0; i < seconds; i += 1) {
      this.clockMs += 1000;
      this.step();
    }
    return this;
  }

  /** A result that the channels give on their own account. */
  result(result: Result): this {
    this.results.push(result);
    return this;
  }

  /** As after a restart: what was kept as text is read again. */
  restart(awayKnown = true): this {
    const kept = parseState(JSON.stringify(this.state));
    if (!kept) throw new Error('the state does not survive JSON');
    this.state = afterRestart(kept, this.parts, awayKnown);
    this.results = [];
    return this;
  }

  test(channelId: string, seed: number): string {
    const code = codeFrom(new Uint8Array([seed, 1, 2, 3, 4]));
    const work = begin(this.state, this.quietInput(), this.parts);
    startTest(work, this.parts.roster.channels.get(channelId)!, code);
    this.state = work.next;
    return code;
  }

  answer(code: string): ReturnType<typeof takeAnswer> {
    const work = begin(this.state, this.quietInput(), this.parts);
    const answer = takeAnswer(work, code);
    this.state = work.next;
    this.rows.push(...work.rows);
    return answer;
  }

  /** Who was called, with the second, `cook push@0` and so on. */
  calls(kind = 'alarm'): string[] {
    return this.sent.filter((one) => one.kind === kind).map((one) => `${one.who}@${one.atS}`);
  }

  /** Lines of the log, `cook accepted` and so on. */
  lines(): string[] {
    return this.rows.map((row) => `${row.personId ?? row.channelId} ${row.outcome}`);
  }

  private quietInput(): PlanInput {
    const { clockMs, wallMs, wallTrusted } = this;
    return { clockMs, wallMs, wallTrusted, standing: null, rows: [], results: [], viewers: null };
  }
}
