import { describe, expect, it } from 'vitest';
import { earnsCredit, filmFor, waterSide } from '../../shared/food/film.ts';
import { creditedCore } from '../../shared/food/measured.ts';

describe('the film between water and food', () => {
  const bagAlone = (water: number): number => 1 / (1 / water + 1 / 5000);

  it('spans the 57 to 248 W/(m2 K) measured in still fluids (Carino-Sarabia & Velez-Ruiz 2013)', () => {
    const film = filmFor({ circulation: 'still', waterC: 50 });
    expect(film.low).toBeCloseTo(bagAlone(57), 9);
    expect(film.high).toBeCloseTo(bagAlone(248), 9);
    // The review's 95 (Baldwin 2012, from memory) is near the middle, on the slow side.
    expect(film.middle).toBeGreaterThan(95);
    expect(film.middle).toBeLessThan(125);
  });

  it('spans 200 to 500 W/(m2 K) where water is pumped (range in the literature, from memory)', () => {
    const film = filmFor({ circulation: 'pumped', waterC: 50 });
    expect(film.low).toBeGreaterThan(190);
    expect(film.high).toBeLessThan(500);
    expect(film.low).toBeGreaterThan(filmFor({ circulation: 'still', waterC: 50 }).middle);
  });

  it('follows Churchill & Chu in still water: 302, 380, 413 W/(m2 K) at 30, 50, 60 C for a 0.1 m plate at 1 K', () => {
    for (const [celsius, published] of [
      [30, 302],
      [50, 380],
      [60, 413],
    ] as const) {
      const row = waterSide.still.byTemperature.find(([at]) => at === celsius);
      expect(Math.abs(row![1] - published / 380)).toBeLessThan(0.001);
    }
  });

  it('grows with the water temperature and never with air, for any circulation', () => {
    for (const circulation of ['still', 'pumped'] as const) {
      let before = 0;
      for (let waterC = 0; waterC <= 100; waterC += 1) {
        const { low, middle, high } = filmFor({ circulation, waterC });
        expect(low).toBeLessThan(middle);
        expect(middle).toBeLessThan(high);
        expect(middle).toBeGreaterThanOrEqual(before);
        before = middle;
        for (const airLayerMm of [0.1, 1, 5]) {
          const withAir = filmFor({ circulation, waterC, airLayerMm });
          expect(withAir.low).toBeLessThan(low);
          expect(withAir.middle).toBeLessThan(middle);
          expect(withAir.high).toBeLessThan(high);
        }
      }
    }
  });

  it('is held down to 27 W/(m2 K) by 1 mm of air (k 0.027), however the water moves', () => {
    for (const circulation of ['still', 'pumped'] as const) {
      expect(filmFor({ circulation, waterC: 60, airLayerMm: 1 }).middle).toBeLessThan(27);
      expect(filmFor({ circulation, waterC: 60, airLayerMm: 1 }).low).toBeLessThan(13.5);
    }
  });

  it('gives no credit while the bag is afloat or partly out, yet lets growth go on as if it were under', () => {
    for (const bag of ['afloat', 'partly-out'] as const) {
      expect(earnsCredit(bag)).toBe(false);
      const film = filmFor({ circulation: 'pumped', waterC: 65, bag });
      expect(film.noCredit).toBe(true);
      expect(film.low).toBe(0);
      expect(film.high).toBe(filmFor({ circulation: 'pumped', waterC: 65 }).high);
    }
    expect(earnsCredit('under')).toBe(true);
    expect(filmFor({ circulation: 'pumped', waterC: 65 }).noCredit).toBe(false);
  });

  it('refuses a layer of air that cannot be and water that is no number', () => {
    expect(() => filmFor({ circulation: 'still', waterC: 60, airLayerMm: -1 })).toThrow(/airLayerMm is -1/);
    expect(() => filmFor({ circulation: 'still', waterC: Number.NaN })).toThrow(/waterC is NaN/);
  });
});

describe('a measured core', () => {
  const model = { leastC: 58, middleC: 60, mostC: 62 };
  const coldSpot = { by: 'cook', how: 'lowest of three places', atS: 1200 };
  const credit = (celsius: number | null, spot: typeof coldSpot | null = null, errorC = 0.5) =>
    creditedCore(model, { celsius, errorC, coldSpot: spot }, 4);

  it('changes nothing where there is no reading', () => {
    expect(credit(null)).toEqual({ celsius: 58, from: 'model', flags: [] });
    expect(credit(Number.NaN, coldSpot)).toEqual({ celsius: 58, from: 'model', flags: [] });
  });

  it('lowers credit at once, by its own pessimistic end, confirmed or not', () => {
    expect(credit(55)).toEqual({ celsius: 54.5, from: 'probe', flags: ['below-worst-case'] });
    expect(credit(55, coldSpot).celsius).toBe(54.5);
    expect(credit(58.2).celsius).toBeCloseTo(57.7, 12);
  });

  it('raises credit above the worst case only where the cold spot was confirmed and recorded', () => {
    expect(credit(60.5)).toEqual({ celsius: 58, from: 'model', flags: [] });
    expect(credit(60.5, coldSpot)).toEqual({ celsius: 60, from: 'probe', flags: [] });
  });

  it('never raises credit by a probe that reads hotter than the meat can be, and flags it', () => {
    const read = credit(64.9, coldSpot);
    expect(read).toEqual({ celsius: 58, from: 'model', flags: ['hotter-than-meat-can-be'] });
  });

  it('flags a probe colder than food and water have ever been, and still believes it downward', () => {
    const read = credit(1, coldSpot);
    expect(read.flags).toContain('colder-than-meat-can-be');
    expect(read.celsius).toBe(0.5);
  });

  it('never credits more than the reading less its error, nor more than the worst case without a record', () => {
    for (let celsius = -5; celsius < 90; celsius += 0.25) {
      for (const spot of [null, coldSpot]) {
        const { celsius: credited } = credit(celsius, spot);
        expect(credited).toBeLessThanOrEqual(Math.max(celsius - 0.5, model.leastC));
        if (spot === null) expect(credited).toBeLessThanOrEqual(model.leastC);
        expect(credited).toBeLessThanOrEqual(Math.max(model.leastC, model.mostC + 1));
      }
    }
  });
});
