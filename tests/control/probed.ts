import { leastLog10 } from '../../controller/tick/estimate/bag.ts';
import type { TickState } from '../../controller/tick/state.ts';
import { type Command, commandSchema } from '../../shared/wire/command.ts';
import type { Reading } from '../../shared/wire/reading.ts';
import { type BenchCook, benchCook, say } from './cook.ts';

/** What the probe shows, C: null = it does not answer; undefined = it is not there. Given the model's coldest case. */
export type Shows = (lowC: number) => number | null | undefined;

export interface Probed {
  readonly cook: BenchCook;
  shows(now: Shows): void;
}

/** A pork neck in a bath of 62 C whose probe shows what it is told to. */
export function probed(): Probed {
  const cook = benchCook({ startC: 62, keepInputs: true });
  let shows: Shows = () => undefined;
  const { rig } = cook;
  const plain = rig.read.bind(rig);
  rig.read = (nowMs) => {
    const seen = plain(nowMs);
    const bag = cook.state().bags[0];
    const celsius = bag ? shows(bag.estimate.core.lowC) : undefined;
    if (celsius === undefined) return seen;
    const quality = celsius === null ? 'absent' : 'good';
    const reading: Reading = { celsius, quality, sequence: 1, monotonicMs: nowMs };
    return { ...seen, readings: { ...seen.readings, cores: [{ bagId: 'neck', reading }] } };
  };
  cook.say(say.start(62));
  cook.run(60);
  cook.say(say.bagIn('neck', 'pork-neck', 60, 1.2));
  return { cook, shows: (now) => (shows = now) };
}

/** Worst-case lethality of the bag by the standard it is judged by. */
export const log10 = (state: TickState) => leastLog10(state.bags[0]!.estimate);
/** Worst-case lethality that the next so many seconds earn. */
export function earns({ cook }: Probed, seconds: number): number {
  const before = log10(cook.state());
  cook.run(seconds);
  return log10(cook.state()) - before;
}
let ids = 0;
/** A command about that bag. */
export const command = (more: Record<string, unknown>): Command =>
  commandSchema.parse({ id: `probe-${ids++}`, by: 'Hut phone', bagId: 'neck', ...more });
