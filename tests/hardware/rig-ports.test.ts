import { describe, expect, it } from 'vitest';
import { rigVerb } from '../../controller/cli/rig.ts';
import { SupervisedBoard } from '../../controller/rig/usb/supervisor.ts';
import { WANTED } from './rig-bench.ts';
import { usbBench } from './rig-usb-bench.ts';

/** Runs the verb and gives what it printed. */
async function run(...argv: string[]): Promise<{ code: number; out: string; err: string }> {
  let out = '';
  let err = '';
  const code = await rigVerb(argv, { out: (text) => (out += text), err: (text) => (err += text) });
  return { code, out, err };
}

describe('ports of the board', () => {
  it('that another program holds are called busy, and that are not there are called missing', async () => {
    const bench = await usbBench();
    await bench.until(() => bench.host.view()?.phase === 'ready');
    const other = new SupervisedBoard({
      path: bench.path,
      wanted: WANTED,
      nowMs: () => performance.now(),
      log: () => undefined,
    });
    const none = new SupervisedBoard({
      path: '/dev/no-such-port',
      wanted: WANTED,
      nowMs: () => performance.now(),
      log: () => undefined,
    });
    try {
      await bench.until(() => other.view()?.fault?.code === 'rig-port-busy');
      await bench.until(() => none.view()?.fault?.code === 'rig-port-missing');
      expect(bench.host.view()?.phase).toBe('ready');
    } finally {
      await other.close();
      await none.close();
      await bench.close();
    }
  });
});

describe('bathkeeper rig', () => {
  it('lists the emulated board with its firmware, probes and limits as one JSON document', async () => {
    const { code, out } = await run('--emulated', '--json');
    const report = JSON.parse(out);
    expect(code).toBe(0);
    expect(report.board).toMatchObject({
      name: 'Bathkeeper',
      firmware: '0.1.0',
      guardFitted: true,
      blocks: null,
    });
    expect(report.probes).toHaveLength(2);
    expect(report.limits.maxCode).toBe(95 * 16);
  });

  it('commissions by flags alone: each switch by itself, water, sounder, silence; what nobody did is not passed', async () => {
    const { code, out } = await run(
      '--emulated',
      '--commission',
      '--ready',
      '--heard',
      'yes',
      '--json',
      '--by',
      'Hut',
    );
    const record = JSON.parse(out);
    expect(code).toBe(0);
    const outcomes = Object.fromEntries(
      record.steps.map((one: { step: string; outcome: string }) => [one.step, one.outcome]),
    );
    expect(outcomes).toEqual({
      probe: 'passed',
      level: 'passed',
      regulating: 'passed',
      guard: 'passed',
      sounder: 'passed',
      silence: 'passed',
      killed: 'not-done',
      unplugged: 'not-done',
      'cut-out': 'not-done',
      'alarm-path': 'not-done',
    });
    expect(record.by).toBe('Hut');
  });

  it('fails a commissioning in which the sounder was not heard or the cut-out opens too late', async () => {
    const { code, out } = await run(
      ...['--emulated', '--commission', '--ready', '--heard', 'no', '--cut-out', '130', '--json'],
    );
    expect(code).toBe(1);
    const failed = JSON.parse(out).steps.filter((one: { outcome: string }) => one.outcome === 'failed');
    expect(failed.map((one: { step: string }) => one.step)).toEqual(['sounder', 'cut-out']);
  });

  it('lists every fault of its flags at once', async () => {
    const { code, err } = await run('--role', '28=bath', '--heard', 'perhaps', '--cut-out', 'hot');
    expect(code).toBe(2);
    expect(err).toMatch(/16 hexadecimal digits/);
    expect(err).toMatch(/expected yes or no/);
    expect(err).toMatch(/not-tried/);
  });
});
