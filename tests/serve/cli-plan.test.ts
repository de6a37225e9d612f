import { describe, expect, it } from 'vitest';
import { planVerb } from '../../controller/cli/plan.ts';

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
  return { code: await planVerb(argv, io), ...said };
}

const clock = ['--now', '2026-07-02T15:00:00+02:00', '--zone', 'Europe/Zurich'];
const lamb = [
  '--serve-by',
  '19:30',
  '--cut',
  'lamb-shoulder',
  '--weight',
  '2kg',
  '--thickness',
  '70mm',
  '--bath',
  '74C',
];

/** Units a number's name may end in; a few names are a unit by themselves. */
const UNIT =
  /(Ms|Iso|S|Min|H|C|K|Kg|G|Mm|Litres|LitresPerH|Ml|MlPerKg|W|M|M2|KWh|InMoney|Percent|Fraction|Ratio|Count|Ppm|Hours|Of100)$|^(percent|grams|ppm)$/;

/** Paths of numbers whose names lack a unit. */
function unitless(value: unknown, path: string, name: string): string[] {
  if (typeof value === 'number') return UNIT.test(name) ? [] : [path];
  if (Array.isArray(value)) return value.flatMap((one, i) => unitless(one, `${path}[${i}]`, name));
  if (value === null || typeof value !== 'object') return [];
  return Object.entries(value).flatMap(([key, inner]) => unitless(inner, `${path}.${key}`, key));
}

describe('bathkeeper plan', () => {
  it('prints one JSON document and nothing else, every number with its unit in its name', async () => {
    const { code, out, err } = await run(...lamb, ...clock, '--json');
    expect([code, err]).toEqual([0, '']);
    expect(out.trimEnd().split('\n').length).toBe(1);
    const plan = JSON.parse(out);
    expect(unitless(plan, 'plan', '')).toEqual([]);
    expect(plan.bathC).toBe(74);
    expect(plan.status).toBe('odds-met');
    expect(plan.dishes[0].oddsFraction).toBeGreaterThan(0.79);
  });

  it('gives each instant as milliseconds and as ISO 8601 in the zone', async () => {
    const plan = JSON.parse((await run(...lamb, ...clock, '--json')).out);
    for (const step of plan.steps) {
      expect(Date.parse(step.atIso) / 1000).toBe(Math.floor(step.atMs / 1000));
      expect(step.atIso).toMatch(/\+02:00$/);
      if (step.bandMs) expect(step.bandIso.length).toBe(2);
    }
    expect(plan.serveByIso).toBe('2026-07-03T19:30:00+02:00');
  });

  it('takes the job in one line of words', async () => {
    const said = JSON.parse((await run('lamb shoulder, 2 kg, eight people, 19:30', ...clock, '--json')).out);
    expect(said.job.dishes[0].cutId).toBe('lamb-shoulder');
    expect(said.job.peopleCount).toBe(8);
    expect(said.defaults.map((one: { field: string }) => one.field).join()).toMatch(/thickness/);
  });

  it('takes several dishes, each with its own weight, and a date', async () => {
    const { out } = await run(
      ...[
        '--serve-by',
        '2026-07-04 19:30',
        '--cut',
        'lamb-shoulder',
        '--weight',
        '2kg',
        '--thickness',
        '60mm',
      ],
      ...['--cut', 'pork-neck', '--weight', '1.5kg', '--thickness', '3in', ...clock, '--json'],
    );
    const plan = JSON.parse(out);
    expect(plan.job.dishes.map((d: { pieceKg: number }) => d.pieceKg)).toEqual([2, 1.5]);
    expect(plan.job.dishes[1].thicknessMm).toBeCloseTo(76.2, 9);
  });

  it('reads to a person without --json: the steps with their times, why, and what to mind', async () => {
    const { code, out } = await run(...lamb, ...clock);
    expect(code).toBe(0);
    expect(out).toMatch(/Bath on: 74 C/);
    expect(out).toMatch(/99 %: \d\d:\d\d to \d\d:\d\d/);
    expect(out).toMatch(/RCD\/GFCI/);
    expect(out).toMatch(/Taken for granted:/);
  });

  it('answers whether a described box will do, before anything is built', async () => {
    const { out } = await run(
      '--box',
      '--litres',
      '30',
      '--watts',
      '500',
      '--insulation',
      'eps',
      '--bath',
      '75C',
      '--hours',
      '10h',
      '--price',
      '0.3',
      '--json',
    );
    const answer = JSON.parse(out);
    expect(unitless(answer, 'rig', '')).toEqual([]);
    expect(answer.lidOn.does).toBe(true);
    expect(answer.lidOff.does).toBe(false);
    expect(answer.lidOn.costInMoney / answer.lidOn.totalKWh).toBeCloseTo(0.3, 9);
    expect(answer.bags).toMatchObject({ bagKg: 2, mostBagsCount: expect.any(Number) });
    expect(answer.bags.mostBagsCount).toBeGreaterThan(2);
    expect((await run('--box')).out).toMatch(/Lid on: it does[\s\S]*Bags of 2 kg: \d+ at most/);
  });

  it.each([
    [
      ['--serve-by', '2020-01-01 19:30', '--cut', 'lamb-shoulder', '--weight', '2kg'],
      /has passed; it is Thu 2 Jul/,
    ],
    [
      ['--serve-by', '19:30', '--cut', 'lamb-shoulder', '--weight', '2'],
      /the unit is missing; expected for example 2kg/,
    ],
    [
      ['--serve-by', '19:30', '--cut', 'lamb-shoulder', '--weight', '2kg', '--thickness', '70C'],
      /not one of length/,
    ],
    [['--serve-by', '19:30', '--cut', 'gryphon', '--weight', '2kg'], /cut "gryphon" is not known/],
    [['--serve-by', '19:30'], /no cut was named/],
    [['--cut', 'lamb-shoulder', '--weight', '2kg'], /no time to serve by/],
    [
      ['--serve-by', '19:30', '--cut', 'lamb-shoulder', '--weight', '2kg', '--odds', '120%'],
      /odds wanted is 1\.2/,
    ],
    [['--serve-by', '19:30', '--cut', 'lamb-shoulder', '--weight', '2kg', '--bath', '90C'], /over 80 C/],
    [
      ['--serve-by', '19:30', '--cut', 'lamb-shoulder', '--weight', '2kg', '--endpoint', 'mushy'],
      /expected one of sliceable/,
    ],
    [
      ['--serve-by', '19:30', '--cut', 'lamb-shoulder', '--weight', '2kg', '--weight', '3kg'],
      /give it once a cut/,
    ],
    [
      ['--serve-by', '19:30', '--cut', 'lamb-shoulder', '--weight', '2kg', '--night', 'late'],
      /expected for example 22:00-06:00/,
    ],
    [['--oven'], /Unknown option '--oven'.*--help/],
  ])('ends with code 2 and says what was wrong and what was expected: %s', async (argv, words) => {
    const { code, out, err } = await run(...argv, ...clock, '--json');
    expect(code).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(words);
  });

  it('says what to do where a rig is asked for that has not run yet', async () => {
    const { code, err } = await run('--box', '--rig', 'usb', '--data', '/nowhere', '--insulation', 'eps');
    expect(code).toBe(2);
    expect(err).toMatch(/nothing was learned of a rig yet .*heat the bath once/);
    expect(err).toMatch(/--insulation describes a box/);
  });

  it('tells every fault of the flags at once', async () => {
    const { err } = await run('--cut', 'lamb-shoulder', '--weight', '2', '--lid', 'half', ...clock);
    expect(err.trimEnd().split('\n').length).toBe(3);
  });

  it('prints its help', async () => {
    const { code, out } = await run('--help');
    expect(code).toBe(0);
    expect(out).toMatch(/--serve-by TIME/);
  });
});

describe('what the command line says of itself', () => {
  it('names how a value below zero is given, where it was taken for a flag', async () => {
    const { code, err } = await run(...clock, ...lamb, '--start', '-18C');
    expect([code, err]).toEqual([
      2,
      'bathkeeper plan: --start: a value that begins with a minus is written with "=", as in --start=-1. See: bathkeeper plan --help\n',
    ]);
  });

  it('says of a box that cannot only what it comes to, and what to do about a bag that leaks or floats', async () => {
    const weak = ['--box', '--litres', '100', '--watts', '500', '--bath', '85C', '--insulation', 'none'];
    const { out } = await run(...weak);
    expect(out).toMatch(/Lid off: it does not; \d+\.\d C at most/);
    expect(out).not.toMatch(/never|no kWh|[1-9]\d\d % duty/);
    const plan = await run(...clock, ...lamb);
    expect(plan.out).toMatch(/If something is wrong with a bag:[\s\S]*Throw it away/);
    expect(plan.out).not.toMatch(/see "leak"/);
  });

  it('says which of two equal times is meant in the night in which the clocks are put back', async () => {
    const autumn = ['--now', '2026-10-24T08:00:00+02:00', '--zone', 'Europe/Zurich'];
    const { out } = await run(...autumn, ...lamb, '--serve-by', '2026-10-25 02:30');
    expect(out).toMatch(/comes twice in Europe\/Zurich; the first is meant\. The clocks are put back/);
  });
});
