import type { BagView } from '../../shared/wire/status.ts';

/** A bag as the page gets it, for tests that need one; invented. */
export function bagViewFixture(more: Partial<BagView> = {}): BagView {
  return {
    bagId: 'lamb-1',
    label: 'Lamb shoulder, left',
    cutId: 'lamb-shoulder',
    beta: 0.5,
    thicknessMm: 70,
    massKg: 1.8,
    startC: 5,
    endpoint: 'fork-tender',
    cutName: 'Lamb shoulder',
    assumed: false,
    inAtMs: 0,
    outAtMs: null,
    lies: 'under',
    coreC: 41.2,
    coldC: 39,
    hotC: 43,
    measured: null,
    hand: null,
    probeHold: null,
    chill: null,
    coldSpot: null,
    lethality: [
      {
        standardId: 'x',
        standard: 'X',
        organism: 'Salmonella',
        source: 'test',
        targetLog10: 6.5,
        log10: 1.25,
        equivalentMetAtMs: null,
        dwell: null,
        metAtMs: null,
        dueAtMs: null,
      },
    ],
    comeUp: { seconds: 3600, limitS: 21_600, doneAtMs: null },
    growthLog10: 0.1,
    verdicts: [],
    tender: null,
    moisturePercent: null,
    ...more,
  };
}
