import { execFile } from 'node:child_process';
import { createServer } from 'node:net';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { FakeHub } from './fake-hub.ts';
import { makeBed, resumeOf } from './server-bed.ts';

describe('server, the end', () => {
  it('leaves no handle open: a process that closes the server with viewers, requests and idle connections on it exits', async () => {
    const child = fileURLToPath(new URL('./server-close-child.ts', import.meta.url));
    const run = await new Promise<{ code: number; out: string }>((resolve) => {
      // The limit only turns a hang into a failure.
      execFile(process.execPath, ['--import', 'tsx', child], { timeout: 50_000 }, (error, out, err) =>
        resolve({ code: error === null ? 0 : Number(error.code ?? -1), out: out + err }),
      );
    });
    expect(run).toEqual({ code: 0, out: 'closed, 0 listeners left\n' });
  });

  it('closes at once though a client keeps its connection and a command is waiting', async () => {
    const bed = await makeBed();
    bed.hub.commit();
    bed.hub.answer = () => new Promise(() => {});
    const waiting = bed.post('/api/command', { kind: 'stop-heat', id: 'x' }).catch((error: Error) => error);
    while (bed.hub.submitted.length === 0) await new Promise((resolve) => setImmediate(resolve));
    const watcher = await bed.watch();
    await watcher.greeted();
    watcher.send(resumeOf(watcher.page));
    await bed.close();
    expect(await waiting).toBeInstanceOf(Error);
    await expect(bed.ask({ path: '/api/health' })).rejects.toThrow(/ECONNREFUSED/);
  });

  it('says which port is taken, and leaves nothing behind, where it cannot listen', async () => {
    const other = createServer();
    await new Promise<void>((resolve) => other.listen(0, '127.0.0.1', resolve));
    const address = other.address();
    const port = typeof address === 'object' && address ? address.port : 0;
    const hub = new FakeHub();
    await expect(makeBed({ hub, port })).rejects.toThrow(/EADDRINUSE/);
    expect(hub.listeners).toBe(0);
    await new Promise((resolve) => other.close(resolve));
  });
});
