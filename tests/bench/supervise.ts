import { senseBath } from '../../controller/tick/sense.ts';
import type { TickState } from '../../controller/tick/state.ts';
import { CHECKS } from '../../controller/tick/supervise/all.ts';
import { watchBath } from '../../controller/tick/supervise/watch/watch.ts';
import { tick } from '../../controller/tick/tick.ts';
import { beginWork } from '../../controller/tick/work.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { benchCook, hutBags, say } from '../control/cook.ts';

const TICKS = 6000;
const ROUNDS = 5;

interface Moment {
  readonly before: TickState;
  readonly after: TickState;
  readonly input: TickInput;
}

/** A stretch of the hut's cook, each tick with the state before and after it. */
function recorded(withBags: boolean): Moment[] {
  const cook = benchCook({ startC: 64, keepInputs: true });
  cook.say(say.start(68));
  cook.run(1200);
  if (withBags) cook.say(...hutBags());
  cook.run(600);
  const from = cook.state();
  const begin = cook.inputs.length;
  cook.run(TICKS);
  let before = from;
  return cook.inputs.slice(begin).map((input) => {
    const moment = { before, input, after: tick(before, input).state };
    before = moment.after;
    return moment;
  });
}

/** Microseconds a tick, the best of some rounds: what is slower was somebody else's processor. */
function each(moments: readonly Moment[], run: (moment: Moment) => unknown): number {
  let best = Number.POSITIVE_INFINITY;
  for (let round = 0; round <= ROUNDS; round++) {
    const began = performance.now();
    for (const moment of moments) run(moment);
    if (round > 0) best = Math.min(best, performance.now() - began);
  }
  return (best / moments.length) * 1000;
}

function lineFor(words: string, moments: readonly Moment[]): string {
  const whole = each(moments, ({ before, input }) => tick(before, input));
  const watch = each(moments, ({ before, after, input }) => {
    const sense = senseBath(input.readings.bath, before.lastGood, input.monotonicMs);
    const work = beginWork({ ...after, rig: before.rig, watch: before.watch }, input, 1);
    watchBath(work, sense, before);
  });
  const checks = each(moments, ({ before, after, input }) => {
    const sense = senseBath(input.readings.bath, before.lastGood, input.monotonicMs);
    return CHECKS.map((check) => check({ input, sense, state: after }));
  });
  const share = Math.round((100 * (watch + checks)) / whole);
  const parts = `identification and balance ${watch.toFixed(2)}, ${CHECKS.length} checks ${checks.toFixed(2)}`;
  return `supervision a tick, ${words}: ${(watch + checks).toFixed(2)} us (${parts}); baseline whole tick ${whole.toFixed(2)} us, share ${share} %`;
}

/** Cost of supervision a tick, against the whole tick of the same run as baseline. */
export async function benchSupervise(): Promise<string[]> {
  return [lineFor('no food in', recorded(false)), lineFor('three bags in', recorded(true))];
}
