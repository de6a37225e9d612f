import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { describe, expect, it } from 'vitest';
import { assessArgs, assessed, csvOf, logFile, PIECE, rowsOf } from './assess-run.ts';

const held = csvOf(rowsOf(14_400, 60, () => 62));

const flags: readonly (readonly [what: string, flags: readonly string[], says: RegExp])[] = [
  ['no log', [], /no log was named; expected one file/],
  ['two logs', ['a.csv', 'b.csv'], /2 logs were named/],
  [
    'an unknown flag',
    ['a.csv', '--colour', 'red'],
    /Unknown option '--colour'\. See: bathkeeper assess --help/,
  ],
  [
    'a thickness without unit',
    ['a.csv', '--thickness', '40'],
    /--thickness "40": the unit is missing; expected for example 40mm/,
  ],
  [
    'a thickness in degrees',
    ['a.csv', '--thickness', '40C'],
    /--thickness "40C": unit "C" is not one of length/,
  ],
  [
    'a thickness of metres',
    ['a.csv', '--thickness', '4m'],
    /--thickness 4m is 4000 mm; expected 1 to 300 mm/,
  ],
  ['no thickness at all', ['a.csv', '--thickness', '0mm'], /--thickness 0mm is 0 mm/],
  ['a negative thickness', ['a.csv', '--thickness', '-40mm'], /--thickness -40mm is -40 mm/],
  [
    'frozen food',
    ['a.csv', '--start', '-18C'],
    /--start -18C is frozen food; expected -1 C or more\. Thaw it first/,
  ],
  ['a start that is hot', ['a.csv', '--start', '180C'], /--start 180C is 180\.0 C; expected at most 100 C/],
  ['a start without unit', ['a.csv', '--start', '5'], /--start "5": the unit is missing/],
  ['an unknown shape', ['a.csv', '--shape', 'cube'], /"cube" is no shape: expected slab, cylinder, sphere/],
  ['a beta over 2', ['a.csv', '--shape', '2.5'], /"2\.5" is no shape/],
  ['an unknown cut', ['a.csv', '--cut', 'mutton'], /--cut "mutton" is not known; known are beef-chuck/],
  [
    'a food that is not judged',
    ['a.csv', '--cut', 'egg-in-shell'],
    /Eggs in the shell cannot be judged here/,
  ],
  [
    'a diffusivity without its power',
    ['a.csv', '--diffusivity', '1.3'],
    /--diffusivity "1\.3": expected a number from 5e-8 to 0\.000001 m2\/s; meat is near 1\.3e-7/,
  ],
  [
    'a conductivity of words',
    ['a.csv', '--conductivity', 'good'],
    /--conductivity "good": expected a number from 0\.05 to 5/,
  ],
  ['no film', ['a.csv', '--film', '0'], /--film "0": expected a number from 1 to 100000/],
  [
    'another circulation',
    ['a.csv', '--circulation', 'brisk'],
    /--circulation "brisk": expected pumped or still/,
  ],
  [
    'a circulation beside a film',
    ['a.csv', '--circulation', 'still', '--film', '95'],
    /--circulation and --film were both given/,
  ],
  ['a blank film', ['a.csv', '--film', ''], /--film "": expected a number/],
  ['an unknown unit', ['a.csv', '--unit', 'K'], /--unit "K": expected C or F/],
  [
    'an unknown profile',
    ['a.csv', '--profile', 'mine'],
    /No limit profile "mine"; known are conservative, us-food-code, usda-fsis/,
  ],
  [
    'a series of nothing',
    ['a.csv', '--series', '0'],
    /--series "0": expected the seconds between two points/,
  ],
];

describe('flags that cannot be are refused with exit code 2', () => {
  it.each(flags)('%s', async (_what, argv, says) => {
    const said = await assessArgs(...PIECE, ...argv);
    expect(said.err).toMatch(says);
    expect(said).toMatchObject({ code: 2, out: '' });
  });

  it('all at once, each on a line of its own', async () => {
    const said = await assessArgs('a.csv', '--shape', 'cube', '--film', 'x');
    expect(said.err.trimEnd().split('\n')).toHaveLength(4);
    expect(said.err).toContain('--thickness is missing');
    expect(said.err).toContain('--start is missing');
    expect(said.code).toBe(2);
  });

  it('a curve of more than a million points', async () => {
    const said = await assessArgs(
      logFile(csvOf(rowsOf(200_000, 600, () => 60))),
      ...PIECE,
      '--series',
      '0.1',
    );
    expect(said).toMatchObject({ code: 2, out: '' });
    expect(said.err).toContain('expected at most 1000000');
  });
});

describe('bathkeeper assess', () => {
  it('prints with --json the document of the contract: its fields by name, each of its kind', async () => {
    const log = `time,bath_c,core_c\n${rowsOf(7200, 60, () => 62)
      .map(([s, c]) => `${s},${c},${Math.min(60, 5 + s / 60)}`)
      .join('\n')}\n`;
    const result = await assessed(log, '--series', '600', '--cut', 'lamb-shoulder');
    expect(result.core.endC).toEqual(expect.any(Number));
    expect(result.core.maxC).toEqual(expect.any(Number));
    expect(result.core.series).toHaveLength(13);
    expect(result.core.series![12]).toEqual([7200, expect.closeTo(result.core.endC, 2)]);
    for (const entry of [...result.lethality, ...result.envelope.lethality]) {
      expect(entry).toMatchObject({
        organism: expect.any(String),
        food: expect.any(String),
        standard: expect.any(String),
        source: expect.any(String),
        log10: expect.any(Number),
      });
      expect(entry.metAtS === null || entry.metAtS > 0).toBe(true);
    }
    for (const entry of [...result.growth, ...result.envelope.growth]) {
      expect(entry).toMatchObject({ organism: 'C. perfringens', log10: expect.any(Number) });
    }
    for (const clock of [result.comeUp, result.envelope.comeUp]) {
      expect(clock).toMatchObject({ seconds: expect.any(Number), limitS: 21_600, ok: expect.any(Boolean) });
    }
    expect(result.cooling).toBeNull();
    expect(result.hotHold).toMatchObject({ limitC: expect.closeTo(57.2, 1), held: true, ok: true });
    expect(result.dangerZoneS).toEqual(expect.any(Number));
    expect(result.tender.equivalentHoursAt70C).toBeGreaterThan(0);
    expect(result.envelope.core.endC).toBeLessThan(result.core.endC);
    expect(result.repairs).toEqual([]);
    expect(result.cautions.length).toBeGreaterThan(2);
    expect(result.inputs).toMatchObject({ cut: 'lamb-shoulder', thicknessMm: 40, startC: 5 });
    // 200 W/(m2 K) at 50 C, 4.5 % more at 62, and 5000 of the bag's own in series.
    expect(result.inputs.film).toBeCloseTo(1 / (1 / (200 * (1.04 + 0.08 / 15)) + 1 / 5000), 6);
    expect(result.inputs.filmFrom).toContain('following the temperature');
  });

  it('has no curve unless one is asked for', async () => {
    expect((await assessed(held)).core.series).toBeUndefined();
  });

  it('chooses the standards of a cut, and without one every general standard, the strictest first', async () => {
    const chicken = await assessed(held, '--cut', 'chicken-thigh');
    expect(chicken.lethality[0]!.standard).toMatch(/^FSIS Appendix A, chicken, 7 log/);
    expect(chicken.inputs.standards).toMatch(/^Poultry: 7 log of Salmonella/);
    const unnamed = await assessed(held);
    const names = unnamed.lethality.map(({ standardId }) => standardId);
    expect(names[0]).toBe('fsis-other-poultry-7-fat12');
    for (const id of [
      'fsis-meat-6.5',
      'fsis-meat-7',
      'fsis-chicken-7-fat12',
      'food-code-roasts',
      'fda-fish-listeria-6',
      'fda-fish-botulinum-np-6',
      'ecoli-lamb',
    ]) {
      expect(names).toContain(id);
    }
    expect(new Set(names).size).toBe(names.length);
    expect(unnamed.cautions.join(' ')).toContain('No cut was named');
  });

  it('takes a cut for its properties, and flags before the cut', async () => {
    const cut = await assessed(held, '--cut', 'pork-belly');
    expect(cut.inputs).toMatchObject({ diffusivityFrom: expect.stringContaining('composition of') });
    const given = await assessed(
      held,
      '--cut',
      'pork-belly',
      '--diffusivity',
      '1.3e-7',
      '--conductivity',
      '0.48',
    );
    const plain = await assessed(held, '--diffusivity', '1.3e-7', '--conductivity', '0.48');
    expect(given.core).toEqual(plain.core);
    expect(cut.core.endC).toBeLessThan(plain.core.endC);
    const usual = await assessed(held);
    expect(usual.core).toEqual(plain.core);
  });

  it('takes a cut for its usual shape where none is given, but never for its thickness', async () => {
    const path = logFile(held);
    const shaped = await assessArgs(
      path,
      '--cut',
      'pork-neck',
      '--thickness',
      '60mm',
      '--start',
      '5C',
      '--json',
    );
    expect(JSON.parse(shaped.out).inputs.shape).toContain('usual for');
    expect((await assessArgs(path, '--cut', 'pork-neck', '--start', '5C')).err).toContain(
      '--thickness is missing',
    );
  });

  it('follows the profile of local rules that is named', async () => {
    const names = await Promise.all(
      ['conservative', 'us-food-code', 'usda-fsis'].map(
        async (id) => (await assessed(held, '--profile', id)).inputs.profile,
      ),
    );
    expect(new Set(names).size).toBe(3);
    expect((await assessed(held)).inputs.profile).toBe(names[0]);
  });

  it('says in text what the document says: core, clocks, kills, verdicts with their source, repairs, cautions', async () => {
    const { out, code, err } = await assessArgs(logFile(held.replace('\n600,62', '\n600,?')), ...PIECE);
    expect({ code, err }).toEqual({ code: 0, err: '' });
    for (const part of [
      'Core at the end 62.0 C',
      'Come-up, worst:',
      'Kill at the core',
      '[kept] Salmonella',
      'FSIS',
      'Repairs:',
      'Skipped 1 row',
      'Cautions:',
      'decides under the local code',
    ]) {
      expect(out).toContain(part);
    }
    expect(out).not.toMatch(/undefined|NaN|\[object|Infinity/);
  });

  it('prints its help, which names every flag and says what a gap is', async () => {
    const { out, code } = await assessArgs('--help');
    expect(code).toBe(0);
    for (const flag of [
      'shape',
      'thickness',
      'start',
      'cut',
      'diffusivity',
      'conductivity',
      'film',
      'circulation',
      'time-column',
      'bath-column',
      'core-column',
      'unit',
      'series',
      'profile',
      'cold-spot',
      'json',
    ]) {
      expect(out).toContain(`--${flag}`);
    }
    expect(out).toContain('5 times what is usual');
  });

  it('is a verb of the command line: one document on stdout, errors on stderr, exit codes 0 and 2', async () => {
    const run = promisify(execFile);
    const cli = ['--import', 'tsx', 'controller/cli/bathkeeper.ts', 'assess'];
    const done = await run(process.execPath, [...cli, logFile(held), ...PIECE, '--json']);
    expect(done.stderr).toBe('');
    expect(done.stdout.endsWith('}\n')).toBe(true);
    expect(JSON.parse(done.stdout).durationS).toBe(14_400);
    const refused = await run(process.execPath, [...cli, logFile(''), ...PIECE, '--json']).catch(
      (error) => error,
    );
    expect(refused).toMatchObject({ code: 2, stdout: '' });
    expect(refused.stderr).toContain('the file is empty');
  });
});
