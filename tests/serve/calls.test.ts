import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess, until } from './process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-calls-'));
let controller: RunningController | null = null;
const calls: string[] = [];
const hook = createServer((request, response) => {
  let body = '';
  request.on('data', (chunk) => {
    body += chunk;
  });
  request.on('end', () => {
    calls.push(body);
    response.writeHead(204).end();
  });
});
afterAll(async () => {
  await controller?.kill();
  hook.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('an alarm of the running controller', () => {
  it('calls the person named in the configuration, and the page can see how that went', async () => {
    await new Promise<void>((resolve) => hook.listen(0, '127.0.0.1', resolve));
    const url = `http://127.0.0.1:${(hook.address() as AddressInfo).port}/call`;
    const config = join(folder, 'bathkeeper.json');
    const secret = join(folder, 'secret');
    writeFileSync(secret, 'a secret of forty characters, no less at all');
    const webhook = { kind: 'webhook', url, secret: { file: secret } };
    const reach = { people: [{ id: 'cook', name: 'The cook', channels: [webhook] }] };
    writeFileSync(config, JSON.stringify({ reach }));
    controller = await startProcess(join(folder, 'data'), ['--config', config]);
    const running = controller;
    await running.pair();
    await running.command({ kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 68 });
    const bag = {
      label: 'Pork neck',
      cutId: 'pork-neck',
      beta: 0.7,
      thicknessMm: 70,
      massKg: 1.4,
      startC: 5,
    };
    await running.command({ kind: 'bag-in', bag: { ...bag, bagId: 'neck' } });
    await running.plant({ kind: 'probe', probe: 'bath', fault: 'absent' });
    await until(
      () => calls.some((call) => call.includes('probe')),
      () => `${calls.join('\n')}\n${running.output()}`,
    );
    const view = await (await running.get('/api/reach')).text();
    expect(view).toContain('The cook');
    expect(view).not.toContain(url);
  });
});
