import { connect } from 'node:net';
import { makeBed, resumeOf } from './server-bed.ts';

/** Run as a process of its own by server-close.test.ts: it must end by itself once the server is closed. */
async function main(): Promise<void> {
  const bed = await makeBed();
  bed.hub.startCook('cook-1');
  bed.hub.commit(100);
  const watchers = await Promise.all([bed.watch(), bed.watch()]);
  await watchers[0]?.greeted();
  watchers[0]?.send(resumeOf(watchers[0].page));
  await watchers[0]?.until((page) => page.status !== null);
  const idle = connect(bed.port, '127.0.0.1');
  idle.on('error', () => {});
  await new Promise<void>((resolve) => idle.once('connect', () => resolve()));
  await bed.ask({ path: '/api/cooks' });
  await bed.close();
  for (const watcher of watchers) await watcher.ended();
  process.stdout.write(`closed, ${bed.hub.listeners} listeners left\n`);
}

await main();
