import { startReach } from '../../controller/reach/open.ts';
import type { ReachOptions } from '../../controller/reach/options.ts';
import type { Reach } from '../../controller/reach/reach.ts';
import { ALARMS } from '../../controller/tick/alarm/table.ts';
import type { AlarmId, AlarmState, AlarmView } from '../../shared/wire/alarm.ts';
import { reachSchema } from '../../shared/wire/reach.ts';
import type { DeliveryRow } from '../../shared/wire/reach-view.ts';
import type { AlarmRow } from '../../shared/wire/record.ts';
import { NIGHT, view } from './reach-bench.ts';
import { memoryKept } from './reach-memory.ts';
import { hutStatus } from './reach-status.ts';

/** Calling as a whole, with real edges, and clock and alarms in the test's hand. */
export class Whole {
  readonly log: string[] = [];
  readonly rows: DeliveryRow[] = [];
  readonly store;
  reach!: Reach;
  clockMs = 0;
  wallTrusted = true;
  private readonly alarms = new Map<AlarmId, AlarmView>();
  private changes: AlarmRow[] = [];
  private readonly options: Partial<ReachOptions>;
  private readonly config: unknown;

  constructor(config: unknown, options: Partial<ReachOptions> = {}) {
    this.config = config;
    this.options = options;
    this.store = options.store ?? memoryKept();
  }

  get wallMs(): number {
    return NIGHT + this.clockMs;
  }

  /** Starts, or starts again with what was kept. */
  async start(): Promise<this> {
    this.reach = await startReach({
      config: reachSchema.parse(this.config),
      kitchen: 'Hut kitchen',
      clock: {
        monotonicMs: () => this.clockMs,
        wallMs: () => this.wallMs,
        wallTrusted: () => this.wallTrusted,
      },
      store: this.store,
      log: (line) => this.log.push(line),
      onRow: (row) => this.rows.push(row),
      endpointFault: () => null,
      mayPushTo: () => true,
      env: {},
      ...this.options,
    });
    return this;
  }

  alarm(alarmId: AlarmId, to: AlarmState, by: string | null = null): this {
    const before = this.alarms.get(alarmId);
    const { priority } = ALARMS[alarmId];
    const row = { sequence: 1, wallMs: this.wallMs, cookId: null, alarmId, priority, detail: '', by };
    this.changes.push({ ...row, from: before?.state ?? 'normal', to });
    if (to === 'normal') this.alarms.delete(alarmId);
    else
      this.alarms.set(
        alarmId,
        view(alarmId, to, to === 'unacknowledged' ? this.wallMs : before!.sinceMs, by),
      );
    return this;
  }

  /** A commit: the news reaches what calls; then all attempts under way end and are taken in. */
  async commit(): Promise<this> {
    const rows = this.changes;
    this.changes = [];
    this.reach.onAlarms(rows, hutStatus({ wallMs: this.wallMs, alarms: this.standing() }));
    await this.settle();
    return this;
  }

  /** So many seconds pass in steps, each attempt ending before the next step. */
  async pass(seconds: number, stepS = 1): Promise<this> {
    for (let left = seconds; left > 0; left -= stepS) {
      this.clockMs += Math.min(left, stepS) * 1000;
      await this.commit();
    }
    return this;
  }

  /** What is seen changes from second to second. */
  private standing(): AlarmView[] {
    return [...this.alarms.values()].map((one) => ({
      ...one,
      detail: `${one.detail} Seen at ${this.clockMs}.`,
    }));
  }

  lines(): string[] {
    return this.rows.map((row) => `${row.channel.split(' for ')[0]} ${row.about} ${row.outcome}`);
  }

  private async settle(): Promise<void> {
    await this.reach.idle();
    this.reach.tick();
    await this.reach.idle();
  }
}
