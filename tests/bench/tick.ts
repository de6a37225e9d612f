import { tick } from '../../controller/tick/tick.ts';
import { benchCook, hutBags, say } from '../control/cook.ts';

/**
 * Cost of a tick with three bags in, against the named baseline: one JSON round trip of the tick's own input, which
 * is what a journal that copied every input would pay. Inputs are recorded first, so that the bath is not timed.
 */
export async function benchTick(): Promise<string[]> {
  const cook = benchCook({ startC: 68, keepInputs: true });
  cook.say(say.start(68));
  cook.run(600);
  cook.say(...hutBags());
  cook.run(600);
  const from = cook.state();
  const begin = cook.inputs.length;
  cook.run(40_000);
  const inputs = cook.inputs.slice(begin);
  const run = () => inputs.reduce((state, input) => tick(state, input).state, from);
  run();
  const before = performance.now();
  run();
  const each = ((performance.now() - before) / inputs.length) * 1000;
  const base = performance.now();
  for (const input of inputs) JSON.parse(JSON.stringify(input));
  const copy = ((performance.now() - base) / inputs.length) * 1000;
  return [
    `tick with three bags: ${each.toFixed(1)} us (target 20); baseline JSON copy of its input ${copy.toFixed(1)} us, ratio ${(each / copy).toFixed(2)}`,
    `simulated hours a second, tick alone: ${Math.round(1e6 / each / 3600)}; 72 h take ${((72 * 3600 * each) / 1e6).toFixed(1)} s`,
  ];
}

/** The whole bench cook, bath included: how many hours a second a campaign gets. */
export async function benchCookSpeed(): Promise<string[]> {
  const cook = benchCook({ startC: 68 });
  cook.say(say.start(68));
  cook.say(...hutBags());
  cook.run(2000);
  const before = performance.now();
  cook.run(30_000);
  const seconds = (performance.now() - before) / 1000;
  return [`simulated hours a second, tick and bath: ${(30_000 / 3600 / seconds).toFixed(1)}`];
}
