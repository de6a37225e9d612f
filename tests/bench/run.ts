import { cpus, totalmem } from 'node:os';
import { benchAssess } from './assess.ts';
import { benchBoard } from './board.ts';
import { benchJournal } from './journal.ts';
import { benchMemory } from './memory.ts';
import { benchPlan } from './plan.ts';
import { benchRig } from './rig.ts';
import { benchSolver } from './solver.ts';
import { benchStream } from './stream.ts';
import { benchSupervise } from './supervise.ts';
import { benchCookSpeed, benchTick } from './tick.ts';

/** `npm run bench [name ...]`: figures of this machine, each beside a baseline measured in the same run. */
const BENCHES: Readonly<Record<string, () => Promise<string[]>>> = {
  tick: benchTick,
  supervise: benchSupervise,
  cook: benchCookSpeed,
  solver: benchSolver,
  assess: benchAssess,
  journal: benchJournal,
  stream: benchStream,
  memory: benchMemory,
  plan: benchPlan,
  rig: benchRig,
  board: benchBoard,
};

const asked = process.argv.slice(2);
const unknown = asked.filter((name) => !(name in BENCHES));
if (unknown.length > 0) {
  console.error(`No such bench: ${unknown.join(', ')}. Expected: ${Object.keys(BENCHES).join(', ')}.`);
  process.exit(2);
}
const cpu = cpus()[0]?.model ?? 'unknown processor';
console.log(`${cpus().length} x ${cpu}, ${Math.round(totalmem() / 2 ** 30)} GiB, Node ${process.version}`);
for (const name of asked.length > 0 ? asked : Object.keys(BENCHES)) {
  const bench = BENCHES[name];
  if (!bench) continue;
  console.log(`\n${name}`);
  for (const line of await bench()) console.log(`  ${line}`);
}
