import { execFileSync, spawnSync } from 'node:child_process';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { need } from '../need.mjs';

const top = mkdtempSync(join(tmpdir(), 'bathkeeper-release-'));
afterAll(() => rmSync(top, { recursive: true }));

/** A program as built, small; and a machine to put it on, with a service manager and a health answer that obey the test. */
function machine(name: string) {
  const source = join(top, name, 'built');
  const root = join(top, name, 'machine');
  const tools = join(top, name, 'tools');
  for (const folder of ['dist', 'node_modules/part', 'hardware/deploy'])
    mkdirSync(join(source, folder), { recursive: true });
  for (const file of [
    'package-lock.json',
    'README.md',
    'LICENSE',
    'dist/main.js',
    'node_modules/part/index.js',
  ]) {
    writeFileSync(join(source, file), file);
  }
  cpSync('hardware/deploy/release.sh', join(source, 'hardware/deploy/release.sh'));
  mkdirSync(tools);
  const tool = (command: string, body: string) => {
    writeFileSync(join(tools, command), `#!/bin/sh\n${body}\n`);
    chmodSync(join(tools, command), 0o755);
  };
  const log = join(top, name, 'log');
  writeFileSync(log, '');
  tool('systemctl', `echo "systemctl $* with $(readlink "${root}/opt/bathkeeper/current")" >> "${log}"`);
  tool('sleep', 'exit 0');
  return {
    source,
    home: join(root, 'opt/bathkeeper'),
    version: (text: string) => writeFileSync(join(source, 'package.json'), JSON.stringify({ version: text })),
    healthy: (yes: boolean) => tool('curl', `exit ${yes ? 0 : 7}`),
    log: () => readFileSync(log, 'utf8').trim().split('\n'),
    release: (...flags: string[]) =>
      spawnSync('sh', [join(source, 'hardware/deploy/release.sh'), '--root', root, ...flags], {
        encoding: 'utf8',
        env: { ...process.env, PATH: `${tools}:${process.env.PATH}`, BATHKEEPER_WAIT_S: '3' },
      }),
  };
}

describe('release.sh', () => {
  it('places the built program, points to it and starts it', () => {
    const at = machine('first');
    at.version('1.0.0');
    at.healthy(true);
    const done = at.release();
    expect(done.stderr).toMatch(/1\.0\.0-\d{8}T\d{6}Z runs\./);
    expect(done.status).toBe(0);
    const current = readlinkSync(join(at.home, 'current'));
    expect(current).toMatch(/^releases\/1\.0\.0-/);
    expect(readFileSync(join(at.home, 'current/dist/main.js'), 'utf8')).toBe('dist/main.js');
    expect(existsSync(join(at.home, 'current/node_modules/part/index.js'))).toBe(true);
    expect(at.log()).toEqual([`systemctl restart bathkeeper with ${current}`]);
    expect(statSync(join(at.home, 'current/dist')).mode & 0o022).toBe(0);
    expect(statSync(join(at.home, 'current/dist/main.js')).mode & 0o004).toBe(0o004);
  });

  it('goes back to the release before when the new one does not come up, and says so', () => {
    const at = machine('back');
    at.version('1.0.0');
    at.healthy(true);
    at.release();
    const before = readlinkSync(join(at.home, 'current'));
    at.version('1.1.0');
    at.healthy(false);
    const done = at.release();
    expect(done.status).toBe(1);
    expect(done.stderr).toContain(`went back to ${before}`);
    expect(readlinkSync(join(at.home, 'current'))).toBe(before);
    expect(at.log().at(-1)).toBe(`systemctl restart bathkeeper with ${before}`);
    expect(at.log().at(-2)).toMatch(/with releases\/1\.1\.0-/);
  });

  it('says where to look when a first release does not come up', () => {
    const at = machine('dead');
    at.version('1.0.0');
    at.healthy(false);
    const done = at.release();
    expect(done.status).toBe(1);
    expect(done.stderr).toContain('journalctl -u bathkeeper');
  });

  it('keeps three releases, among them always the one that runs', () => {
    const at = machine('three');
    at.healthy(true);
    for (const [index, version] of ['1.0.0', '1.1.0', '1.2.0', '1.3.0', '1.4.0'].entries()) {
      at.version(version);
      expect(at.release().status).toBe(0);
      const when = new Date(Date.UTC(2026, 10, 1 + index));
      utimesSync(join(at.home, readlinkSync(join(at.home, 'current'))), when, when);
    }
    const kept = readdirSync(join(at.home, 'releases'))
      .map((name) => name.slice(0, 5))
      .sort();
    expect(kept).toEqual(['1.2.0', '1.3.0', '1.4.0']);
    expect(readlinkSync(join(at.home, 'current'))).toContain('1.4.0');
  });

  it('touches nothing when the program was not built, and says what to do', () => {
    const at = machine('unbuilt');
    at.version('1.0.0');
    rmSync(join(at.source, 'dist'), { recursive: true });
    const done = at.release();
    expect(done.status).toBe(1);
    expect(done.stderr).toContain('npm install');
    expect(existsSync(at.home)).toBe(false);
  });

  it('refuses a flag it does not know', () => {
    const at = machine('flag');
    expect(at.release('--force').stderr).toContain('unknown "--force"');
  });
});

describe('the backup command of the paper', () => {
  beforeAll(() => need('sqlite3', 'sqlite3'));

  it('gives a whole copy of a log that is being written', async () => {
    const { default: Database } = await import('better-sqlite3');
    const folder = join(top, 'log folder');
    mkdirSync(folder);
    const live = new Database(join(folder, 'journal.sqlite'));
    live.pragma('journal_mode = WAL');
    live.exec('CREATE TABLE rows (n INTEGER)');
    live.exec("INSERT INTO rows SELECT value FROM json_each('[1,2,3]')");
    const paper = readFileSync('hardware/deploy/README.md', 'utf8');
    const command = /^sudo -u bathkeeper (sqlite3 .*\.backup .*)$/m.exec(paper)![1]!;
    const here = command
      .replace('/var/lib/bathkeeper/usb/journal.sqlite', `'${join(folder, 'journal.sqlite')}'`)
      .replace('/var/lib/bathkeeper/backup.sqlite', join(folder, 'backup.sqlite'));
    live.exec('BEGIN IMMEDIATE; INSERT INTO rows VALUES (4)');
    execFileSync('sh', ['-c', here]);
    live.exec('COMMIT');
    const copy = new Database(join(folder, 'backup.sqlite'), { readonly: true });
    expect(copy.pragma('integrity_check', { simple: true })).toBe('ok');
    expect(copy.prepare('SELECT count(*) AS n FROM rows').get()).toEqual({ n: 3 });
    copy.close();
    live.close();
  });
});
