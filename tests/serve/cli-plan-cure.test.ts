import { describe, expect, it } from 'vitest';
import { cureVerb } from '../../controller/cli/cure.ts';

async function run(...argv: string[]) {
  const said = { out: '', err: '' };
  const io = {
    out: (text: string) => {
      said.out += text;
    },
    err: (text: string) => {
      said.err += text;
    },
  };
  return { code: await cureVerb(argv, io), ...said };
}

const lamb = ['--weight', '2kg', '--thickness', '70mm', '--salt', '1.5%'];
const UNIT = /(S|C|Kg|G|Mm|PerTsp|Percent|Ratio|Count|Ppm)$|^(percent|grams|ppm)$/;

function unitless(value: unknown, path: string, name: string): string[] {
  if (typeof value === 'number') return UNIT.test(name) ? [] : [path];
  if (Array.isArray(value)) return value.flatMap((one, i) => unitless(one, `${path}[${i}]`, name));
  if (value === null || typeof value !== 'object') return [];
  return Object.entries(value).flatMap(([key, inner]) => unitless(inner, `${path}.${key}`, key));
}

describe('bathkeeper cure', () => {
  it('prints one JSON document and nothing else, every number with its unit in its name', async () => {
    const { code, out, err } = await run(
      ...lamb,
      '--spoon',
      'table',
      '--five-spoons',
      '30g',
      '--aromatic',
      'thyme=0.1%',
      '--json',
    );
    expect([code, err]).toEqual([0, '']);
    const cure = JSON.parse(out);
    expect(unitless(cure, 'cure', '')).toEqual([]);
    // 1.5 % of 2 kg.
    expect(cure.saltG).toBeCloseTo(30, 9);
    expect(cure.nitrite).toBeNull();
    expect(cure.spoon.teaspoonsCount).toBeCloseTo(5, 9);
    expect(cure.ownSpoon.teaspoonsCount).toBeCloseTo(5, 9);
    expect(cure.aromatics[0].grams).toBeCloseTo(2, 9);
    expect(cure.depth.words).toMatch(/too short for 70 mm/);
  });

  it('works in pounds, ounces and inches too', async () => {
    const { out } = await run('--weight', '4lb', '--thickness', '2in', '--salt', '2%', '--json');
    const cure = JSON.parse(out);
    expect(cure.saltG).toBeCloseTo(36.287, 3);
    expect(cure.thicknessMm).toBeCloseTo(50.8, 9);
  });

  it('reads to a person: grams, times, the depth of the salt, cautions', async () => {
    const { out } = await run(...lamb, '--poultry', '--method', 'packed', '--sugar', '50%');
    expect(out).toMatch(/Depth, mm/);
    expect(out).toMatch(/disinfect sink/);
    expect(out).toMatch(/Rinse the loose salt off/);
  });

  it('takes curing salt by weight, and stops hard over the limit without any amounts', async () => {
    const curing = ['--nitrite', '6.25%', '--nitrite-method', 'dry', '--json'];
    const fine = await run(...lamb, '--curing-salt', '5g', ...curing);
    expect(JSON.parse(fine.out).nitrite.ppm).toBeCloseTo(156.25, 6);
    const over = await run(...lamb, '--curing-salt', '8g', ...curing);
    expect([over.code, over.out]).toEqual([2, '']);
    expect(over.err).toMatch(/STOP: 250 ppm.*200 ppm/);
    const spoons = await run(...lamb, '--curing-salt', '1tsp', ...curing);
    expect(spoons.code).toBe(2);
    expect(spoons.err).toMatch(/a weight, never spoons/);
  });

  it.each([
    [['--weight', '2kg'], /--thickness is missing.*\n.*--salt is missing/],
    [['--weight', '2kg', '--thickness', '70mm', '--salt', '15%'], /salt is 15; expected 0\.1 to 6/],
    [['--weight', '2', '--thickness', '70mm', '--salt', '1.5%'], /the unit is missing/],
    [[...lamb, '--spoon', 'sack'], /expected one of table/],
    [[...lamb, '--aromatic', 'lavender'], /expected one of black-pepper/],
    [[...lamb, '--brine', '2kg', '--nitrite', '6.25%'], /nitrite needs all of/],
    [[...lamb, '--pepper'], /Unknown option '--pepper'/],
  ])('ends with code 2 and how to mend it: %s', async (argv, words) => {
    const { code, out, err } = await run(...argv, '--json');
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(words);
  });

  it('prints its help', async () => {
    expect((await run('--help')).out).toMatch(/Nitrite is off unless/);
  });
});

describe('a fridge that is too warm', () => {
  it('stops the cure instead of planning it', async () => {
    // FDA Food Code 3-501.16: 41 F (5 C) at most.
    const { code, out, err } = await run(...lamb, '--fridge', '8C');
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(/STOP: A fridge at 8\.0 C is too warm for raw meat/);
    expect((await run(...lamb, '--fridge', '41F')).code).toBe(0);
  });
});
