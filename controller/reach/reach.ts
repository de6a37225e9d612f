import type { AlarmId, AlarmView } from '../../shared/wire/alarm.ts';
import type { DeliveryRow, Failing, PushSubscriptionJson, ReachView } from '../../shared/wire/reach-view.ts';
import type { AlarmRow } from '../../shared/wire/record.ts';
import type { Status } from '../../shared/wire/status.ts';
import { Dispatch } from './dispatch.ts';
import { dutyActions } from './duty-actions.ts';
import { essence } from './essence.ts';
import { Guesses } from './guesses.ts';
import { failingOf } from './health.ts';
import type { AnswerEnd, Proof, TestStart, WaysReport } from './options.ts';
import type { ReachParts } from './parts.ts';
import { begin, type PlanOutput, plan } from './plan.ts';
import { endpointFault } from './push-desk.ts';
import { codeFrom, mayTest, startTest, takeAnswer } from './reachable.ts';
import { ReadingsOut } from './readings.ts';
import { type Reminder, remind } from './reminders.ts';
import { hushedAlarms, silence } from './silence.ts';
import { Sounder } from './sounder.ts';
import type { Answer, ReachState } from './state.ts';
import { viewOf } from './view.ts';
import { PLAN, waysReport } from './ways.ts';
import type { PlanInput, Work } from './work.ts';

/** Lines of the delivery log in memory; the journal has them all. */
const LOG_MOST = 300;

const READINGS = 'the readings for MQTT';
/** A fault of the plan is told for so long after its last, so that one of every other step is not missed. */
const FAULT_STAYS_MS = 60_000;

/** What calls people: the plan, its edges and its memory. Nothing here waits for an edge, and nothing throws. */
export class Reach {
  private readonly made: ReachParts;
  private readonly dispatch: Dispatch;
  private readonly sounder: Sounder | null;
  private readonly readings: ReadingsOut;
  private readonly guesses = new Guesses();
  private state: ReachState;
  private kept = '';
  private status: { readonly status: Status; readonly atMs: number } | null = null;
  private last: PlanOutput | null = null;
  private rows: readonly DeliveryRow[] = [];
  private faultMs = Number.NEGATIVE_INFINITY;
  /** The last tick whose alarms came ahead of the disk. */
  private through = Number.NEGATIVE_INFINITY;
  private closed = false;

  constructor(made: ReachParts) {
    this.made = made;
    const { history = [] } = made.options;
    this.rows = history.slice(-LOG_MOST);
    // Where the kept state was lost, the numbers go on from the last line on record.
    const nextRow = Math.max(made.state.nextRow, (this.rows.at(-1)?.row ?? 0) + 1);
    this.state = { ...made.state, nextRow };
    const actions = dutyActions(made.edges, made.options.kitchen, () => this.lately());
    this.dispatch = new Dispatch(made.edges.channels, actions);
    const { sound, config } = made.options;
    this.readings = new ReadingsOut(made.edges.mqtt, config.mqtt);
    this.sounder = sound
      ? new Sounder(sound, (why) => made.troubles.set('sounder', 'the sounder', why))
      : null;
  }

  /** News of the alarms, with each commit: what changed, and the status after it. What `ahead` brought is not told again. */
  onAlarms(rows: readonly AlarmRow[], status: Status): void {
    this.status = { status, atMs: this.made.clockMs() };
    const isOld = status.sequence < this.through;
    const fresh = rows.filter(({ sequence }) => sequence > this.through);
    this.step(isOld ? {} : { standing: status.alarms, rows: fresh });
    try {
      this.readings.publish(status, this.made.clockMs());
      this.made.troubles.set('readings', READINGS, null);
    } catch (error) {
      this.fault('readings', READINGS, error);
    }
  }

  /** News of alarms that the disk has not taken: calling does not wait for it. */
  ahead(sequence: number, rows: readonly AlarmRow[], standing: readonly AlarmView[]): void {
    this.through = sequence;
    this.step({ standing, rows });
  }

  /** Time passes: call it about once a second. */
  tick(): void {
    this.step({});
  }

  /** The delivery log, oldest first, the last 300 lines. */
  log(): readonly DeliveryRow[] {
    return this.rows;
  }

  /** What nothing gets through on at present: to be shown, and an alarm in itself. */
  failing(): Failing[] {
    return [...failingOf(this.state, this.made.parts), ...this.made.troubles.list()];
  }

  /** How the ways of calling stand. */
  report(): WaysReport {
    return waysReport(this.failing(), this.made.parts.roster.channels);
  }

  /** What the sounder keeps still about: silenced by a person for some minutes, or held back by quiet hours. */
  hushed(): ReadonlySet<AlarmId> {
    return hushedAlarms(this.state, this.now(), this.made.parts.rules);
  }

  /** Somebody tries the sounder at this moment. */
  triesSounder(): boolean {
    return this.sounder?.isTried(this.made.clockMs()) ?? false;
  }

  /** Sends a test to one person, by one channel or by all of theirs. */
  test(personId: string, channelId: string | null = null): TestStart {
    const person = this.made.parts.roster.people.find((one) => one.id === personId);
    const meant = person?.channels.filter((one) => channelId === null || one.id === channelId) ?? [];
    if (meant.length === 0) return { ok: false, why: 'unknown' };
    const [now, tooSoon] = [[], []] as [string[], string[]];
    this.change((work) => {
      for (const channel of meant) {
        if (!mayTest(work.next, channel.id, work.input.clockMs)) tooSoon.push(channel.id);
        else {
          startTest(work, channel, codeFrom(this.made.random(5)));
          now.push(channel.id);
        }
      }
    });
    return { ok: true, channels: now, tooSoon };
  }

  /** Takes the code of a test. Works once; wrong ones are limited in number. */
  answer(code: string): AnswerEnd {
    const clockMs = this.made.clockMs();
    if (!this.guesses.allowed(clockMs)) return { ok: false, why: 'too-many' };
    const answer = this.change((work) => takeAnswer(work, code));
    const proof = answer && this.proofOf(answer);
    if (!proof) {
      this.guesses.noteWrong(clockMs);
      return { ok: false, why: 'unknown' };
    }
    this.made.options.onProof?.(proof);
    return { ok: true, proof };
  }

  /** Who has proved within that time that they are reached, and by what. */
  proofs(withinMs: number): Proof[] {
    return this.state.answers
      .flatMap((answer) => this.proofOf(answer) ?? [])
      .filter((proof) => proof.ageMs <= withinMs);
  }

  /** Tells people that a step of a plan is due, at low priority; gives how many were written to. */
  remind(reminder: Reminder): number {
    return this.change((work) => remind(work, reminder));
  }

  /** Silences the sounder for what rings now, for minutes; gives until when, null where nothing rings. */
  silence(by: string): number | null {
    const untilClockMs = this.change((work) => silence(work, by));
    return untilClockMs === null
      ? null
      : this.made.options.clock.wallMs() + untilClockMs - this.made.clockMs();
  }

  /** Sounds the sounder for three seconds; false where there is none. */
  testSounder(): boolean {
    if (!this.sounder) return false;
    this.sounder.test(this.made.clockMs());
    this.step({});
    return true;
  }

  /** The key that a page subscribes with; null where push is not configured. */
  pushKey(): string | null {
    return this.made.options.config.push === null ? null : this.made.desk.keys.publicKey;
  }

  /** Takes a phone's subscription; gives what is wrong with it, or null. */
  subscribe(personId: string, subscription: PushSubscriptionJson): string | null {
    if (!this.made.parts.roster.people.some((one) => one.id === personId)) return 'there is no such person';
    const fault = (this.made.options.endpointFault ?? endpointFault)(subscription.endpoint);
    if (fault !== null) return fault;
    this.made.desk.subscribe(personId, subscription, this.made.options.clock.wallMs());
    return null;
  }

  /** Forgets a phone's subscription; false where there was none. */
  unsubscribe(endpoint: string): boolean {
    return this.made.desk.forget(endpoint);
  }

  /** All that the page shows of it. */
  view(): ReachView {
    const { parts, options, clockMs } = this.made;
    return viewOf({
      state: this.state,
      parts,
      failing: this.failing(),
      log: this.rows,
      wallMs: options.clock.wallMs(),
      wallTrusted: options.clock.wallTrusted(),
      clockMs: clockMs(),
      sounder: { present: this.sounder !== null, level: this.last?.sounder ?? null },
    });
  }

  /** Resolves once no attempt is under way; its results are taken in with the next tick. */
  idle(): Promise<void> {
    return this.dispatch.idle();
  }

  /** Breaks off what is under way, says goodbye, and keeps what is not delivered for the next start. */
  async close(): Promise<void> {
    this.closed = true;
    await this.dispatch.close();
    await this.made.edges.mqtt?.close();
    this.made.savers.plan.save(JSON.stringify(this.state));
    await this.made.savers.plan.settled();
    await this.made.savers.push.settled();
  }

  private step(news: Partial<PlanInput>): void {
    if (this.closed) return;
    const { parts, troubles } = this.made;
    try {
      const output = plan(this.state, { ...this.now(), results: this.dispatch.take(), ...news }, parts);
      this.last = output;
      this.take(output.state, output.rows);
      for (const letterId of output.abandon) this.dispatch.abandon(letterId);
      for (const send of output.sends) this.dispatch.send(send);
      for (const channelId of output.duties) this.dispatch.carryOut(channelId);
      this.sounder?.want(output.sounder, output.state.clockMs);
      if (output.state.clockMs - this.faultMs >= FAULT_STAYS_MS)
        troubles.set(PLAN, 'the plan of calls', null);
    } catch (error) {
      this.faultMs = this.made.clockMs();
      this.fault(PLAN, 'the plan of calls', error);
    }
  }

  /** A fault here must never stop the bath; it must be seen. */
  private fault(id: string, what: string, error: unknown): void {
    const { troubles, options } = this.made;
    options.log(`reach: ${error instanceof Error ? (error.stack ?? error.message) : 'unknown fault'}`);
    troubles.set(id, what, 'failed; see what the controller printed');
  }

  private now(): PlanInput {
    const { clock, viewers } = this.made.options;
    return {
      clockMs: this.made.clockMs(),
      wallMs: clock.wallMs(),
      wallTrusted: clock.wallTrusted(),
      standing: null,
      rows: [],
      results: [],
      viewers: viewers?.() ?? null,
    };
  }

  /** Changes the state outside a step; what follows from it is done at once. */
  private change<T>(by: (work: Work) => T): T {
    const work = begin(this.state, this.now(), this.made.parts);
    const result = by(work);
    this.take(work.next, work.rows);
    this.step({});
    return result;
  }

  private take(state: ReachState, rows: readonly DeliveryRow[]): void {
    this.state = state;
    this.rows = [...this.rows, ...rows].slice(-LOG_MOST);
    for (const row of rows) this.made.options.onRow?.(row);
    const worth = essence(state);
    if (worth === this.kept) return;
    this.kept = worth;
    this.made.savers.plan.save(JSON.stringify(state));
  }

  private proofOf({ personId, channelId, clockMs, wallMs }: Answer): Proof | null {
    const channel = this.made.parts.roster.channels.get(channelId);
    if (!channel) return null;
    const ageMs = this.made.clockMs() - clockMs;
    const { personName: person, label, kind } = channel;
    return { personId, person, channelId, channel: label, kind, answeredMs: wallMs, ageMs };
  }

  private lately(): { status: Status; ageMs: number } | null {
    return this.status && { status: this.status.status, ageMs: this.made.clockMs() - this.status.atMs };
  }
}
