import { fork } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { rigVerb } from '../../controller/cli/rig.ts';
import { SupervisedBoard } from '../../controller/rig/usb/supervisor.ts';
import type { FromChild, ToChild } from '../../controller/rig/usb/talk.ts';
import type { BoardView } from '../../controller/rig/usb/view.ts';
import { WANTED } from './rig-bench.ts';
import { ptyBoard, until } from './rig-pty.ts';
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

describe('the process that owns the port', () => {
  it('told to open anew while it is still opening has the port once, and does not call itself busy', async () => {
    const pty = await ptyBoard();
    const child = fork('controller/rig/usb/child.ts', [], {
      execArgv: ['--import', 'tsx'],
      stdio: 'inherit',
    });
    const views: BoardView[] = [];
    child.on('message', (message: FromChild) => views.push(message.view));
    const phase = () => views.at(-1)?.phase;
    const open: ToChild = { kind: 'open', path: pty.path, wanted: WANTED, analogue: [] };
    const told = () => JSON.stringify(views.at(-1));
    try {
      for (let i = 0; i < 3; i++) child.send(open);
      await until(() => phase() === 'ready', 20_000, told);
      // And once more with all of it in use.
      const before = views.length;
      child.send(open);
      await until(() => views.length > before && phase() !== 'ready', 5000, told);
      await until(() => phase() === 'ready', 20_000, told);
      expect(views.filter(({ fault }) => fault !== null)).toEqual([]);
    } finally {
      const gone = new Promise((resolve) => child.once('exit', resolve));
      child.send({ kind: 'end' } satisfies ToChild);
      await gone;
      await pty.close();
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

  it.each(['5000', '-3', '', '19.9', '251'])(
    'refuses --cut-out "%s" with the range that it expected',
    async (text) => {
      const { code, err } = await run(`--cut-out=${text}`, '--list');
      expect(code).toBe(2);
      expect(err).toContain(
        `--cut-out "${text}": expected 20 to 250 °C as a number, for example 95, or not-tried`,
      );
    },
  );
});
