import type { Lies } from '../../shared/wire/command.ts';
import type { BagView, LethalityView, TenderView, VerdictView } from '../../shared/wire/status.ts';

/** Invented bags, as a page may be given them: what the fake hut knows of one at this moment. */
export interface FakeBagNow {
  readonly spec: Pick<BagView, 'bagId' | 'label' | 'cutId' | 'cutName' | 'thicknessMm'>;
  readonly core: Pick<BagView, 'coreC' | 'coldC' | 'hotC'>;
  readonly log10: number;
  readonly inAtMs: number;
  readonly nowMs: number;
  /** When it was met in this invented story; null while it is not. */
  readonly metAtMs: number | null;
  readonly lies: Lies;
  readonly forkTests: TenderView['forkTests'];
  /** True: an invented breach of the come-up limit, and a probe that lies in the water. */
  readonly broken: boolean;
}

const HOUR_MS = 3_600_000;

/** A whole bag view of invented figures. */
export function fakeBagView(bag: FakeBagNow): BagView {
  const { spec, core, inAtMs, nowMs, broken } = bag;
  const doneAtMs = core.coldC > 54.4 ? inAtMs + 2.4 * HOUR_MS : null;
  const inS = (nowMs - inAtMs) / 1000;
  return {
    ...spec,
    ...core,
    beta: 1,
    massKg: 1.9,
    startC: 4,
    endpoint: 'fork-tender',
    assumed: false,
    inAtMs,
    outAtMs: null,
    lies: bag.lies,
    hand: null,
    probeHold: null,
    creditAnewAtMs: null,
    chill: null,
    coldSpot: null,
    measured: broken
      ? { celsius: core.hotC + 4, credited: false, flags: ['hotter-than-meat-can-be'] }
      : spec.bagId === 'neck'
        ? { celsius: core.coreC - 0.4, credited: true, flags: [] }
        : null,
    lethality: [primary(bag), listeria(bag)],
    comeUp: { seconds: broken ? 23_400 : doneAtMs ? 7980 : Math.min(inS, 7980), limitS: 21_600, doneAtMs },
    growthLog10: broken ? 2.8 : 0.7,
    verdicts: verdicts(bag),
    tender: tender(bag),
    moisturePercent: { low: 18, middle: 24, high: 30 },
  };
}

function primary({ log10, metAtMs, nowMs }: FakeBagNow): LethalityView {
  return {
    standardId: 'fsis-meat-6.5',
    standard: 'FSIS Appendix A, meat, 6.5 log',
    organism: 'Salmonella',
    source: 'USDA FSIS, Revised Appendix A, 2021, Table 2',
    targetLog10: 6.5,
    log10,
    equivalentMetAtMs: metAtMs,
    dwell: {
      row: log10 > 0 ? '140 F (60.0 C), 12 min' : null,
      heldS: metAtMs ? 720 : Math.min(700, log10 * 100),
      needS: log10 > 0 ? 720 : 0,
      metByRow: metAtMs ? '140 F (60.0 C), 12 min' : null,
    },
    metAtMs,
    dueAtMs: metAtMs === null ? nowMs + 0.8 * HOUR_MS : null,
    dueHeldBy: null,
  };
}

function listeria({ log10, metAtMs }: FakeBagNow): LethalityView {
  return {
    standardId: 'listeria-beef-25fat',
    standard: 'Listeria in beef, 25 % fat',
    organism: 'Listeria monocytogenes',
    source: 'invented for this stand-in',
    targetLog10: 6,
    log10: log10 * 0.6,
    equivalentMetAtMs: log10 >= 10 ? metAtMs : null,
    dwell: null,
    metAtMs: log10 >= 10 ? metAtMs : null,
    dueAtMs: null,
    dueHeldBy: null,
  };
}

function verdicts({ broken, metAtMs }: FakeBagNow): VerdictView[] {
  const source = 'USDA FSIS-GD-2021-0014, come-up time: 50 to 130 F within 6 h in all';
  const comeUp: VerdictView = broken
    ? {
        status: 'broken',
        words:
          'The core spent more than 6 h 00 min in all between 10.0 C and 54.4 C. This was passed at 7 h 20 min and does not heal: later heat destroys neither toxins nor spores.',
        rule: source,
        source,
        asks: 'Food beyond this limit is not to be served without an assessment that shows the toxin did not form. The person in charge decides, under the local code.',
        cautions: [],
      }
    : {
        status: 'kept',
        words: 'The core took 2 h 13 min in all between 10.0 C and 54.4 C; the limit is 6 h 00 min.',
        rule: 'Come-up within 6 h',
        source,
        asks: null,
        cautions: [],
      };
  const primaryVerdict: VerdictView = {
    status: metAtMs === null ? 'not-yet' : 'kept',
    words: 'Salmonella: invented words of the stand-in.',
    rule: 'FSIS Appendix A, meat, 6.5 log',
    source: 'USDA FSIS, Revised Appendix A, 2021, Table 2',
    asks: null,
    cautions: ['Above 70.0 C the standard says nothing; no faster credit is given.'],
  };
  const growth: VerdictView = {
    status: 'not-yet',
    words:
      'C. perfringens may have grown 0.7 log before cooling; cooling has not been judged yet (limit 1 log).',
    rule: 'At most 1 log of C. perfringens while cooling',
    source: 'invented for this stand-in',
    asks: null,
    cautions: ['The unit of one model is not stated in its source, so the faster of two models is told.'],
  };
  return broken ? [comeUp, primaryVerdict, growth] : [primaryVerdict, comeUp, growth];
}

function tender({ inAtMs, forkTests }: FakeBagNow): TenderView {
  const at = (hours: number) => inAtMs + hours * HOUR_MS;
  const tests = forkTests.length;
  return {
    endpoint: 'fork-tender',
    readyNow: 0.04,
    p10AtMs: at(8.2),
    p50AtMs: at(11.5),
    p90AtMs: at(16.4),
    spanRatio: 8.2 / 11.5,
    equivalentHoursAt70C: 5.3,
    why: `From what is published of lamb shoulder and shank, the modelled core${tests > 0 ? `, and ${tests} fork tests` : ''}.`,
    forkTests,
  };
}
