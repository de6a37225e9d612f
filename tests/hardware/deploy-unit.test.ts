import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readRigFlags } from '../../controller/cli/rig/flags.ts';
import { FEEDS_PER_PERIOD } from '../../controller/notify.ts';
import { LADDER_MS } from '../../controller/rig/usb/ladder.ts';
import { unsetFault } from '../../controller/rig/usb/open.ts';
import { BATH_PROBE_ROMS } from '../../hardware/emulator/index.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { romText } from '../../shared/wire/rom.ts';
import { need } from '../need.mjs';

const BATH_ROM = romText(BATH_PROBE_ROMS.bath);
const folder = 'hardware/deploy';
const read = (name: string) => readFileSync(join(folder, name), 'utf8');
const unitText = read('bathkeeper.service');
const paper = read('README.md');

/** Every setting of the unit by section and name; a name may come more than once. */
const settings = new Map<string, string[]>();
let section = '';
for (const line of unitText.split('\n')) {
  if (/^\[\w+\]$/.test(line)) section = line.slice(1, -1);
  else if (/^\w/.test(line)) {
    const [name, ...value] = line.split('=');
    const key = `${section}.${name}`;
    settings.set(key, [...(settings.get(key) ?? []), value.join('=')]);
  }
}
const one = (key: string) => settings.get(key)?.join(' | ');

describe('the service unit', () => {
  const scratch = mkdtempSync(join(tmpdir(), 'bathkeeper-unit-'));
  const copy = join(scratch, 'bathkeeper.service');
  beforeAll(async () => {
    await need('systemd', 'systemd-analyze');
    // Only the path of node differs from machine to machine; a unit whose command is not there would be refused.
    writeFileSync(copy, unitText.replace('/usr/bin/node', process.execPath));
  });
  afterAll(() => rmSync(scratch, { recursive: true }));

  it('is found without fault by systemd itself', () => {
    const done = spawnSync('systemd-analyze', ['verify', '--man=no', copy], { encoding: 'utf8' });
    const about = `${done.stdout}${done.stderr}`.split('\n').filter((line) => line.includes('bathkeeper'));
    expect(about).toEqual([]);
    expect(done.status).toBe(0);
  });

  it('would be refused with a misspelt setting, so that the check above can fail', () => {
    const wrong = join(scratch, 'wrong-bathkeeper.service');
    writeFileSync(wrong, readFileSync(copy, 'utf8').replace('WatchdogSec', 'WatchdogSeconds'));
    const done = spawnSync('systemd-analyze', ['verify', '--man=no', wrong], { encoding: 'utf8' });
    expect(done.stderr).toContain('WatchdogSeconds');
  });

  it("leaves little to an intruder: exposure at most 2.0 of 10 by systemd's own count", () => {
    const text = execFileSync('systemd-analyze', ['security', '--offline=true', copy], { encoding: 'utf8' });
    const exposure = Number(/exposure level for \S+: ([\d.]+)/.exec(text)?.[1]);
    console.log(`exposure of the service: ${exposure} of 10`);
    expect(exposure).toBeLessThanOrEqual(2);
  });

  it('takes messages from the messenger child and watches for them longer than the retries of the rig last', () => {
    expect(one('Service.Type')).toBe('notify');
    expect(one('Service.NotifyAccess')).toBe('all');
    const watchdogS = Number(one('Service.WatchdogSec'));
    expect(paper).toContain(`\`WatchdogSec\` (${watchdogS} s`);
    const feedS = watchdogS / FEEDS_PER_PERIOD;
    // Each rung is noticed at the next look, a quarter of a second apart; a tick comes once a second.
    expect(watchdogS - feedS).toBeGreaterThan(LADDER_MS / 1000 + 5);
    for (const file of [paper, unitText]) expect(file).toContain(`${LADDER_MS / 1000} s`);
    expect(one('Service.WatchdogSignal')).toBe('SIGKILL');
  });

  it('starts again for ever, but not with a configuration that only a person can mend', () => {
    expect(one('Service.Restart')).toBe('always');
    expect(one('Unit.StartLimitIntervalSec')).toBe('0');
    expect(one('Service.RestartPreventExitStatus')).toBe('2');
  });

  it('waits neither for a network that is up nor for the time', () => {
    expect(one('Unit.After')).toBe('network.target');
    for (const key of settings.keys()) expect(key).not.toMatch(/Wants|Requires|BindsTo/);
  });

  it('ends the main process before its child, and in order', () => {
    expect(one('Service.KillMode')).toBe('mixed');
    expect(Number(one('Service.TimeoutStopSec'))).toBeGreaterThanOrEqual(10);
  });

  for (const [key, value] of [
    ['User', 'bathkeeper'],
    ['Group', 'bathkeeper'],
    ['NoNewPrivileges', 'yes'],
    ['CapabilityBoundingSet', ''],
    ['AmbientCapabilities', ''],
    ['ProtectSystem', 'strict'],
    ['ProtectHome', 'yes'],
    ['PrivateTmp', 'yes'],
    ['DevicePolicy', 'closed'],
    ['DeviceAllow', 'char-ttyACM rw | char-ttyUSB rw'],
    ['RestrictNamespaces', 'yes'],
    ['LockPersonality', 'yes'],
    ['SystemCallArchitectures', 'native'],
    ['SystemCallFilter', '@system-service | ~@privileged @resources'],
    ['UMask', '0077'],
    ['RuntimeDirectoryPreserve', 'restart'],
    ['LimitCORE', '0'],
  ] as const) {
    it(`says ${key}=${value}`, () => expect(one(`Service.${key}`)).toBe(value));
  }

  it('does not forbid memory that is written and run: the JavaScript engine could not start', () => {
    expect(settings.has('Service.MemoryDenyWriteExecute')).toBe(false);
  });

  it('keeps its data where systemd makes room for it, and finds its configuration where the paper puts it', () => {
    const command = one('Service.ExecStart')!;
    expect(command).toContain(`--data /var/lib/${one('Service.StateDirectory')}`);
    expect(command).toContain(`--config /etc/${one('Service.ConfigurationDirectory')}/bathkeeper.json`);
    expect(paper).toContain('/etc/bathkeeper/bathkeeper.json');
    const bin = JSON.parse(readFileSync('package.json', 'utf8')).bin.bathkeeper as string;
    expect(command).toContain(`/opt/bathkeeper/current/${bin} run --rig usb`);
  });
});

describe('the other papers of the deployment', () => {
  it('make the user that the unit and the udev rule name, without shell or password', () => {
    const line = read('bathkeeper.sysusers')
      .split('\n')
      .find((text) => text.startsWith('u '));
    expect(line).toMatch(/^u bathkeeper - "[^"]+" \/var\/lib\/bathkeeper$/);
    expect(read('70-bathkeeper.rules')).toContain('GROUP="bathkeeper"');
    const done = spawnSync(
      'systemd-sysusers',
      ['--dry-run', join(process.cwd(), folder, 'bathkeeper.sysusers')],
      {
        encoding: 'utf8',
      },
    );
    expect(done.status).toBe(0);
  });

  it('lead to a service that starts: the bath probe is named before the first start, and with it nothing is missing', () => {
    const checked = checkConfig(JSON.parse(read('bathkeeper.example.json')));
    if (!checked.ok) throw new Error(checked.faults.join('\n'));
    const { config } = checked;
    expect(unsetFault(config)?.message).toMatch(/No probe has the role bath/);
    const probes = [{ rom: BATH_ROM, role: 'bath' as const }];
    expect(unsetFault({ rig: { ...config.rig, probes } })).toBeNull();
    // The record must not land wherever somebody happens to stand.
    expect(config.rig.commissioningFile).toMatch(/^\/etc\/bathkeeper\//);
    expect(paper.indexOf('--role ROM=bath')).toBeGreaterThan(0);
    expect(paper.indexOf('--role ROM=bath')).toBeLessThan(paper.indexOf('sudo hardware/deploy/release.sh\n'));
  });

  it('use no flag of the rig that does not exist', () => {
    const commands = [...paper.matchAll(/^sudo node dist\/controller\/cli\/bathkeeper\.js rig (.*)$/gm)];
    expect(commands.length).toBeGreaterThanOrEqual(6);
    for (const [, flags = ''] of commands) {
      const done = readRigFlags(flags.replace(/\bROM\b/, BATH_ROM).split(' '));
      expect(done.ok ? [] : done.faults).toEqual([]);
    }
    expect(readRigFlags(['--no-such-flag']).ok).toBe(false);
  });

  it('give an example configuration without fault', () => {
    expect(checkConfig(JSON.parse(read('bathkeeper.example.json')))).toMatchObject({ ok: true });
  });

  it('name only files that are there', () => {
    const named = [...paper.matchAll(/hardware\/[\w./-]+/g)].map((match) => match[0].replace(/[.,]$/, ''));
    expect(named.length).toBeGreaterThan(5);
    for (const name of named) expect(existsSync(name), name).toBe(true);
  });

  it('put cautions before the first command', () => {
    expect(paper.indexOf('Mains and water kill')).toBeGreaterThan(0);
    expect(paper.indexOf('Mains and water kill')).toBeLessThan(paper.indexOf('```'));
  });

  it('state the exposure, the watchdog and the messages as they are', () => {
    for (const message of ['READY=1', 'STATUS=', 'WATCHDOG=1', 'STOPPING=1'])
      expect(paper).toContain(message);
  });
});
