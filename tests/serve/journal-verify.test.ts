import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { verifyVerb } from '../../controller/cli/verify.ts';
import { exported, KINDS, recorded, TICKS, tamper } from './journal-chain-kit.ts';
import { COOK_ID } from './journal-fixture.ts';
import { random } from './journal-random.ts';

describe('bathkeeper verify', () => {
  async function run(...argv: string[]) {
    const said = { out: '', err: '' };
    const code = await verifyVerb(argv, {
      out: (text) => {
        said.out += text;
      },
      err: (text) => {
        said.err += text;
      },
    });
    return { code, ...said };
  }

  it('says that record and chain agree, or where they part, from the log and from a file, and by the exit code', async () => {
    const path = await recorded();
    const data = join(path, '..');
    const good = await run(COOK_ID, '--data', data);
    expect(good).toMatchObject({ code: 0, err: '' });
    expect(good.out).toMatch(/Record and chain agree\.\nHead: [0-9a-f]{64}\n$/);
    const head = good.out.match(/[0-9a-f]{64}/)?.[0] ?? '';
    expect((await run('--data', data, '--head', head)).out).toContain(`that of tick ${TICKS + 5}`);
    const file = join(data, 'cook.json');
    writeFileSync(file, await exported(path));
    expect(JSON.parse((await run(file, '--json')).out)).toMatchObject({ sound: true, source: 'export' });
    expect((await run(file, '--head', '0'.repeat(64))).code).toBe(1);
    tamper(path, KINDS[0], random(1));
    const bad = await run('last', '--data', data);
    expect(bad.code).toBe(0); // the second cook was not touched
    const first = await run(COOK_ID, '--data', data);
    expect(first.code).toBe(1);
    expect(first.out).toMatch(/PARTED at tick \d+: the sample of tick/);
  });

  it.each([
    ['an unknown cook', ['none'], 'no cook "none"'],
    ['two names', ['a', 'b'], '2 names were given'],
    ['a head that is none', ['a', '--head', '12'], '--head takes the 64 hexadecimal digits'],
    ['a file that is not there', ['nowhere.json'], 'nowhere.json cannot be read'],
  ])('refuses %s with exit code 2', async (_what, argv, said) => {
    const result = await run(...argv, '--data', join(await recorded(), '..'));
    expect(result).toMatchObject({ code: 2, out: '' });
    expect(result.err).toContain(said);
  });
});
