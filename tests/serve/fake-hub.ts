import type { Committed, Hub, PlantPort } from '../../controller/serve/hub.ts';
import { alarmIdSchema } from '../../shared/wire/alarm.ts';
import type { Command, CommandResult } from '../../shared/wire/command.ts';
import type { EventRow, Sample } from '../../shared/wire/rows.ts';
import type { CookView, Installation, Status } from '../../shared/wire/status.ts';
import { calmSafety } from '../control/safety-view.ts';
import { bagViewFixture } from './bag-view.ts';
import { FakeJournal } from './fake-journal.ts';

/** Where the tests' wall clock starts. */
export const START_MS = Date.UTC(2026, 10, 25, 18, 0, 3);

export const INSTALLATION: Installation = {
  kitchen: 'Hut kitchen',
  rigKind: 'simulated',
  rigText: 'Simulated 28 L cool box, 1 kW element, circulation pump',
  probes: [],
  speed: 1,
  codeVersion: '0.1.0',
  hotLimitC: 57.2,
  hardMaxC: 95,
  profile: 'conservative',
};

const BAGS = ['lamb-shoulder-1', 'lamb-shoulder-2', 'pork-neck'];

/** A hub without a tick: the test commits ticks when it wants. Sequences go up by one, a second each. */
export class FakeHub implements Hub {
  readonly bootId: string;
  readonly installation: Installation = INSTALLATION;
  readonly journal: FakeJournal;
  readonly reader;
  readonly submitted: Command[] = [];
  plant: PlantPort | null = null;
  lagMs = 0;
  /** What becomes of commands. */
  answer: (command: Command) => Promise<CommandResult> = async ({ id }) => ({
    id,
    accepted: true,
    code: null,
    detail: null,
  });
  cook: CookView | null = null;
  wallMs: number;
  #latest: { status: Status; sequence: number } | null = null;
  readonly #listeners = new Set<(committed: Committed) => void>();

  constructor(journal = new FakeJournal(), bootId = 'boot-1') {
    this.journal = journal;
    this.bootId = bootId;
    this.reader = journal.reader();
    this.wallMs = journal.last?.wallMs ?? START_MS;
  }

  latest(): { status: Status; sequence: number } | null {
    return this.#latest;
  }

  async submit(command: Command): Promise<CommandResult> {
    this.submitted.push(command);
    return await this.answer(command);
  }

  onCommitted(listener: (committed: Committed) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  get listeners(): number {
    return this.#listeners.size;
  }

  journalLagMs(): number {
    return this.lagMs;
  }

  startCook(cookId: string): void {
    this.cook = {
      cookId,
      name: `Cook ${cookId}`,
      stage: 'heating',
      startedAtMs: this.wallMs,
      endedAtMs: null,
    };
    this.#keepCook();
  }

  /** The cook stays the one shown until another starts, as in the controller. */
  endCook(): void {
    if (this.cook) this.cook = { ...this.cook, stage: 'taken-out', endedAtMs: this.wallMs };
    this.#keepCook();
  }

  /** Ticks that are on disk, but that nobody is told of (a past before the server started, or told later). */
  tick(count: number, events: readonly Omit<EventRow, 'sequence' | 'wallMs' | 'cookId'>[] = []): Committed {
    const samples: Sample[] = [];
    const rows: EventRow[] = [];
    const cookId = this.cook?.cookId ?? null;
    for (let i = 0; i < count; i += 1) {
      this.wallMs += 1000;
      const sequence = this.journal.lastSequence + 1;
      const sample = sampleAt(sequence, this.wallMs, this.cook !== null);
      const mine = i === 0 ? events.map((one) => ({ ...one, sequence, wallMs: this.wallMs, cookId })) : [];
      this.journal.push(sample, cookId, mine);
      samples.push(sample);
      rows.push(...mine);
    }
    const status = statusAt(this.journal.lastSequence, this.wallMs, this.cook);
    this.#latest = { status, sequence: status.sequence };
    return { samples, events: rows, status, throughSequence: status.sequence };
  }

  tell(committed: Committed): void {
    for (const listener of [...this.#listeners]) listener(committed);
  }

  /** Ticks that are on disk and told at once. */
  commit(count = 1, events: readonly Omit<EventRow, 'sequence' | 'wallMs' | 'cookId'>[] = []): Committed {
    const committed = this.tick(count, events);
    this.tell(committed);
    return committed;
  }

  #keepCook(): void {
    if (this.cook === null) return;
    const row = { ...this.cook, codeVersion: '0.1.0', configJson: '{}', setpointC: 65 };
    this.journal.cookRows.set(this.cook.cookId, row);
  }
}

/** A sample told apart from every other by its numbers. */
export function sampleAt(sequence: number, wallMs: number, cooking: boolean): Sample {
  const bathC = 60 + (sequence % 977) / 100;
  return {
    sequence,
    wallMs,
    bathC: sequence % 41 === 0 ? null : bathC,
    setpointC: cooking ? 65 : null,
    duty: (sequence % 100) / 100,
    bags: cooking
      ? BAGS.map((bagId, index) => ({
          bagId,
          coreC: bathC - 5 - index,
          coldC: bathC - 7 - index,
          hotC: bathC - 3 - index,
          log10: sequence / 10_000,
        }))
      : [],
  };
}

export function statusAt(sequence: number, wallMs: number, cook: CookView | null): Status {
  return {
    sequence,
    wallMs,
    wallTrusted: true,
    bath: { celsius: 64.9375, quality: 'good', ageMs: 400 },
    setpointC: cook ? 65 : null,
    bandC: null,
    hotLimitC: 57.2,
    heat: { granted: true, duty: 0.25, circuitClosed: null, stopped: false, reason: 'Holding 65 °C.' },
    cook,
    bags: cook ? [bagView(wallMs)] : [],
    alarms: [
      {
        alarmId: alarmIdSchema.enum['bath-low'],
        title: 'Bath below setpoint',
        priority: 'medium',
        state: 'unacknowledged',
        active: true,
        sinceMs: wallMs - 1000,
        cause: 'The bath is colder than wanted.',
        consequence: 'The food takes longer.',
        action: 'Look at the lid.',
        detail: '62.1 °C, wanted 65 °C',
        acknowledgedBy: null,
        rings: true,
        becauseOf: null,
        escalateAfterS: 900,
        aside: null,
      },
    ],
    ...calmSafety(),
    question: null,
  };
}

function bagView(wallMs: number): Status['bags'][number] {
  return bagViewFixture({ bagId: BAGS[0]!, inAtMs: wallMs - 60_000 });
}
