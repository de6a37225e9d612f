import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { beforeEach, describe, expect, it } from 'vitest';
import { exportVerb } from '../../controller/cli/export.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { cookExportSchema } from '../../shared/wire/export.ts';
import { COOK_ID, cookOf, options } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

let data = '';
let out = '';

beforeEach(async () => {
  data = ownFolder();
  out = join(ownFolder(), 'new', 'folder');
  const journal = await openJournal(options(data));
  for (const record of [...cookOf(90), ...cookOf(40, 91, 'second')]) journal.write(record);
  await journal.close();
});

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
  return { code: await exportVerb(argv, io), ...said };
}

describe('bathkeeper export', () => {
  it('writes CSV, its description and JSON, and prints where', async () => {
    const result = await run(COOK_ID, '--data', data, '--out', out);
    const names = [`${COOK_ID}.csv`, `${COOK_ID}.csv-metadata.json`, `${COOK_ID}.json`, `${COOK_ID}.html`];
    expect(result).toEqual({ code: 0, err: '', out: names.map((name) => `${join(out, name)}\n`).join('') });
    expect(readdirSync(out).sort()).toEqual([...names].sort());
    expect(parse(readFileSync(join(out, `${COOK_ID}.csv`))).length).toBe(91);
    const metadata = JSON.parse(readFileSync(join(out, `${COOK_ID}.csv-metadata.json`), 'utf8'));
    expect(metadata.url).toBe(`${COOK_ID}.csv`);
    const json = cookExportSchema.parse(JSON.parse(readFileSync(join(out, `${COOK_ID}.json`), 'utf8')));
    expect(json.samples.length).toBe(90);
  });

  it('writes only the format asked for, and knows the newest cook as "last"', async () => {
    expect((await run('last', '--data', data, '--out', out, '--format', 'json')).code).toBe(0);
    expect(readdirSync(out)).toEqual(['second.json']);
    expect((await run('last', '--data', data, '--out', out, '--format', 'csv')).code).toBe(0);
    expect(readdirSync(out).sort()).toEqual(['second.csv', 'second.csv-metadata.json', 'second.json']);
  });

  it('exports a cook that is still being written by another owner of the log', async () => {
    const journal = await openJournal(options(data));
    expect((await run('second', '--data', data, '--out', out)).code).toBe(0);
    await journal.close();
  });

  it('lists the cooks, and with --json prints one JSON document and nothing else', async () => {
    const list = await run('--list', '--data', data);
    expect(list.out.split('\n').length).toBe(3);
    expect(list.out).toContain(`${COOK_ID}  2026-10-03T06:00:03.000Z to `);
    const json = await run('--list', '--json', '--data', data);
    expect(JSON.parse(json.out).cooks.map(({ cookId }: { cookId: string }) => cookId)).toEqual([
      COOK_ID,
      'second',
    ]);
    const done = await run('second', '--json', '--data', data, '--out', out, '--format', 'json');
    expect(JSON.parse(done.out)).toMatchObject({
      cook: { cookId: 'second' },
      files: [join(out, 'second.json')],
    });
    expect(done.err + json.err).toBe('');
  });

  it('prints its help', async () => {
    const help = await run('--help');
    expect(help.code).toBe(0);
    for (const option of ['--format', '--out', '--data', '--list', '--json'])
      expect(help.out).toContain(option);
  });

  it.each([
    ['no cook', [], 'no cook was named; expected one id'],
    ['two cooks', ['a', 'b'], '2 cooks were named'],
    ['an unknown option', ['x', '--colour', 'red'], "Unknown option '--colour'"],
    ['an option without its value', ['x', '--out'], "Option '--out' argument is ambiguous"],
    ['an unknown format', ['x', '--format', 'xml'], '--format xml is not known; expected csv, json or html'],
    ['a list of one cook', ['x', '--list'], '--list takes neither a cook nor'],
    ['an unknown cook', ['none'], 'no cook "none"'],
  ])('says what is wrong with %s, on standard error alone, with exit code 2', async (_what, argv, said) => {
    const result = await run(...argv, '--data', data);
    expect(result).toMatchObject({ code: 2, out: '' });
    expect(result.err).toContain(said);
    expect(result.err).toMatch(/^bathkeeper export: .*\n$/);
  });

  it('says where it looked for a log, and which folder cannot be written to', async () => {
    const none = await run('last', '--data', join(data, 'nowhere'));
    expect(none).toMatchObject({ code: 2, out: '' });
    expect(none.err).toContain(`there is no log at ${join(data, 'nowhere', 'journal.sqlite')}`);
    const file = join(data, 'a-file');
    writeFileSync(file, '');
    const blocked = await run(COOK_ID, '--data', data, '--out', file);
    expect(blocked).toMatchObject({ code: 2, out: '' });
    expect(blocked.err).toContain(`${file} cannot be made a folder`);
  });

  it('fails with exit code 1 on a log that cannot be read, and leaves no half-written file', async () => {
    const bytes = readFileSync(join(data, 'journal.sqlite'));
    bytes.fill(0x55, 4096 * 2);
    writeFileSync(join(data, 'journal.sqlite'), bytes);
    const result = await run(COOK_ID, '--data', data, '--out', out);
    expect(result).toMatchObject({ code: 1, out: '' });
    expect(result.err).toMatch(/SQLITE_CORRUPT|malformed/);
  });
});
