import type { AlarmView } from '../../shared/wire/alarm.ts';
import type { Lies } from '../../shared/wire/command.ts';
import type { BagSample, EventRow, Sample, TierRow } from '../../shared/wire/rows.ts';
import type { BagView, Installation, Status } from '../../shared/wire/status.ts';
import { calmSafety } from '../control/safety-view.ts';
import { alarmsOf } from './fake-alarms.ts';
import { fakeBagView } from './fake-bags.ts';

/** An invented night at an invented mountain hut, computed from the clock alone: two lamb shoulders and a pork neck. */
export type Scene = 'fresh' | 'heating' | 'holding' | 'alarm' | 'question' | 'stopped' | 'broken';

export const HUT: Installation = {
  kitchen: 'Hut kitchen',
  rigKind: 'simulated',
  rigText: '28 L cool box, 1 kW element, pump.',
  probes: [],
  speed: 1,
  codeVersion: '0.1.0-fake',
  hotLimitC: 57.2,
  hardMaxC: 95,
  profile: 'Conservative: the stricter of every rule known here',
};

const SETPOINT_C = 74;
const HEAT_UP_S = 7000;
const BAGS_IN_S = 7600;

/** Seconds of cook already behind us in each scene. */
const COOK_AGE_S: Record<Scene, number> = {
  fresh: 0,
  heating: 4200,
  holding: 30_000,
  alarm: 30_000,
  question: 9000,
  stopped: 30_000,
  broken: 30_000,
};

interface FakeBag {
  bagId: string;
  label: string;
  cutId: string;
  cutName: string;
  thicknessMm: number;
  lagS: number;
}

const BAGS: readonly FakeBag[] = [
  {
    bagId: 'lamb-1',
    label: 'Lamb shoulder 1',
    cutId: 'lamb-shoulder',
    cutName: 'Lamb shoulder, boned',
    thicknessMm: 60,
    lagS: 4200,
  },
  {
    bagId: 'lamb-2',
    label: 'Lamb shoulder 2',
    cutId: 'lamb-shoulder',
    cutName: 'Lamb shoulder, boned',
    thicknessMm: 65,
    lagS: 5000,
  },
  {
    bagId: 'neck',
    label: 'Pork neck',
    cutId: 'pork-neck',
    cutName: 'Pork neck',
    thicknessMm: 80,
    lagS: 7400,
  },
];

function noise(second: number): number {
  return Math.round(Math.sin(second * 12.9898) * 2) * 0.0625;
}

function bathC(scene: Scene, second: number): number {
  const age = COOK_AGE_S[scene];
  if (scene === 'fresh') return 14 + noise(second);
  const warm = second < HEAT_UP_S ? 14 + (second / HEAT_UP_S) * 60 : 74;
  const sinceIn = second - BAGS_IN_S;
  const dip = sinceIn > 0 ? 3.4 * (Math.exp(-sinceIn / 900) - Math.exp(-sinceIn / 120)) : 0;
  const fall = scene === 'alarm' ? Math.max(0, second - (age - 2400)) * 0.0075 : 0;
  return warm - dip - fall + noise(second);
}

function coreC(bag: FakeBag, bath: number, second: number, lag = bag.lagS): number {
  const since = second - BAGS_IN_S;
  if (since <= 0) return 4;
  return bath - (bath - 4) * Math.min(1, 1.25 * Math.exp(-since / lag));
}

function log10Of(bag: FakeBag, second: number): number {
  return Math.max(0, Math.min(12, (second - BAGS_IN_S - bag.lagS * 1.7) / 900));
}

function bagSamples(scene: Scene, bath: number, second: number): BagSample[] {
  if (scene === 'fresh' || second < BAGS_IN_S) return [];
  return BAGS.map((bag) => ({
    bagId: bag.bagId,
    coreC: coreC(bag, bath, second),
    coldC: coreC(bag, bath, second, bag.lagS * 1.3),
    hotC: coreC(bag, bath, second, bag.lagS * 0.75),
    log10: log10Of(bag, second),
  }));
}

/** The past and present of one scene, by the second. `startMs` is when its cook began. */
export class FakeHut {
  readonly scene: Scene;
  readonly startMs: number;
  readonly firstSequence = 1;
  alarms: AlarmView[];
  stopped: boolean;
  setpointC: number | null;
  readonly outAtMs = new Map<string, number>();
  readonly lies = new Map<string, Lies>();
  readonly forkTests = new Map<
    string,
    { atMs: number; answer: 'not-yet' | 'nearly' | 'ready'; by: string }[]
  >();

  constructor(scene: Scene, nowMs: number) {
    this.scene = scene;
    this.startMs = Math.floor(nowMs / 1000) * 1000 - (COOK_AGE_S[scene] || 600) * 1000;
    this.stopped = scene === 'stopped';
    this.setpointC = scene === 'fresh' ? null : SETPOINT_C;
    if (scene === 'broken') this.lies.set('lamb-1', 'afloat');
    this.alarms = scene === 'alarm' ? alarmsOf(nowMs) : [];
  }

  sequenceAt(nowMs: number): number {
    return Math.floor((nowMs - this.startMs) / 1000) + 1;
  }

  sample(sequence: number): Sample {
    const second = sequence - 1;
    const bath = bathC(this.scene, second);
    const duty =
      this.stopped || this.scene === 'fresh'
        ? 0
        : second < HEAT_UP_S
          ? 1
          : 0.18 + 0.05 * Math.sin(second / 300);
    return {
      sequence,
      wallMs: this.startMs + second * 1000,
      bathC: bath,
      setpointC: this.setpointC,
      duty: this.scene === 'alarm' && second > COOK_AGE_S.alarm - 2400 ? 1 : duty,
      bags: bagSamples(this.scene, bath, second),
    };
  }

  tier(widthS: 10 | 60 | 600, fromSequence: number, toSequence: number): TierRow[] {
    const rows: TierRow[] = [];
    let run: Sample[] = [];
    const bucket = (sample: Sample) => Math.floor(sample.wallMs / (widthS * 1000)) * widthS * 1000;
    const close = () => {
      if (run.length > 0) rows.push(tierOf(widthS, bucket(run[0]!), run));
      run = [];
    };
    for (let sequence = fromSequence; sequence <= toSequence; sequence++) {
      const sample = this.sample(sequence);
      if (run.length > 0 && bucket(run[0]!) !== bucket(sample)) close();
      run.push(sample);
    }
    close();
    return rows;
  }

  status(nowMs: number): Status {
    const sequence = this.sequenceAt(nowMs);
    const sample = this.sample(sequence);
    const heating = sequence < HEAT_UP_S;
    const cook = this.scene !== 'fresh';
    return {
      sequence,
      wallMs: sample.wallMs,
      wallTrusted: true,
      bath: { celsius: sample.bathC, quality: 'good', ageMs: 400 },
      setpointC: this.setpointC,
      bandC: this.setpointC === null ? null : { lowC: this.setpointC - 1.5, highC: this.setpointC + 1.5 },
      hotLimitC: 57.2,
      ...calmSafety(),
      heat: {
        granted: cook && !this.stopped,
        duty: sample.duty,
        circuitClosed: sample.duty > 0.5,
        stopped: this.stopped,
        reason: this.stopped
          ? 'Stopped: night watch.'
          : cook
            ? 'Holding the setpoint.'
            : 'No cook is running.',
      },
      cook: cook
        ? {
            cookId: 'cook-hut',
            name: 'Supper for the hut',
            stage: heating ? 'heating' : this.scene === 'question' ? 'ready-for-food' : 'holding',
            startedAtMs: this.startMs,
            endedAtMs: null,
          }
        : null,
      bags: heating || !cook || this.scene === 'question' ? [] : this.bags(sample),
      alarms: this.alarms,
      question:
        this.scene === 'question'
          ? {
              kind: 'load',
              sinceMs: nowMs - 60_000,
              dueMs: nowMs + 540_000,
              text: 'The bath fell by 1.9 K in four minutes though heat was given. Cold food would do that.',
            }
          : null,
    };
  }

  private bags(sample: Sample): BagView[] {
    return BAGS.map((bag, i) => {
      const { coreC, coldC, hotC, log10 } = sample.bags[i]!;
      const { bagId, label, cutId, cutName, thicknessMm } = bag;
      const view = fakeBagView({
        spec: { bagId, label, cutId, cutName, thicknessMm },
        core: { coreC, coldC, hotC },
        log10,
        inAtMs: this.startMs + BAGS_IN_S * 1000,
        nowMs: sample.wallMs,
        metAtMs: log10 >= 6.5 ? this.startMs + (BAGS_IN_S + bag.lagS * 1.7 + 5850) * 1000 : null,
        lies: this.lies.get(bagId) ?? 'under',
        forkTests: this.forkTests.get(bagId) ?? [],
        broken: this.scene === 'broken' && bagId === 'lamb-1',
      });
      return { ...view, outAtMs: this.outAtMs.get(bagId) ?? null };
    });
  }

  events(): EventRow[] {
    if (this.scene === 'fresh') return [];
    const event = (second: number, kind: string, text: string): EventRow => ({
      sequence: second + 1,
      wallMs: this.startMs + second * 1000,
      cookId: 'cook-hut',
      kind,
      text,
      data: {},
    });
    const rows = [
      event(0, 'cook-started', 'Cook started by the night watch, setpoint 74.0 °C'),
      event(HEAT_UP_S, 'stage', 'The bath is at 74.0 °C: ready for food'),
      ...BAGS.map((bag, i) => event(BAGS_IN_S + i, 'bag-in', `${bag.label} went in`)),
    ];
    return rows.filter((row) => row.sequence < COOK_AGE_S[this.scene]);
  }
}

function tierOf(widthS: 10 | 60 | 600, startMs: number, run: readonly Sample[]): TierRow {
  const baths = run.map((sample) => sample.bathC ?? 0);
  const last = run.at(-1)!;
  return {
    widthS,
    startMs,
    firstSequence: run[0]!.sequence,
    lastSequence: last.sequence,
    count: run.length,
    minC: Math.min(...baths),
    meanC: baths.reduce((sum, value) => sum + value, 0) / run.length,
    maxC: Math.max(...baths),
    setpointC: last.setpointC,
    duty: run.reduce((sum, sample) => sum + sample.duty, 0) / run.length,
    bags: last.bags,
  };
}
