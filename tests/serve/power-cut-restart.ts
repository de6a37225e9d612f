import type { TickState } from '../../controller/tick/state.ts';
import { type TickOutput, tick } from '../../controller/tick/tick.ts';
import { commandSchema } from '../../shared/wire/command.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { benchCook, hutBags, say } from '../control/cook.ts';

/** A cook with the hut's bags, an hour in, and the inputs that a restart would bring. */
export function outage(awayMs: number | null, afterC: number, inS = 3600) {
  const cook = benchCook({ startC: 68, keepInputs: true });
  cook.say(say.start(68));
  cook.run(900);
  cook.say(...hutBags());
  cook.run(inS);
  const last = cook.inputs.at(-1)!;
  const input = (n: number, more: Partial<TickInput> = {}): TickInput => ({
    ...last,
    sequence: last.sequence + n,
    monotonicMs: n * 1000,
    wallMs: last.wallMs + (awayMs ?? 0) + n * 1000,
    commands: [],
    restart: null,
    readings: {
      ...last.readings,
      bath: {
        celsius: afterC + (((n * 7) % 5) - 2) / 60,
        quality: 'good',
        sequence: n,
        monotonicMs: n * 1000,
      },
    },
    ...more,
  });
  const steps = (state: TickState, inputs: readonly TickInput[]) => {
    const outputs: TickOutput[] = [];
    for (const one of inputs) {
      const stepped = tick(state, one);
      state = stepped.state;
      outputs.push(stepped.output);
    }
    return { state, outputs };
  };
  const first = input(1, { restart: { awayMs } });
  const later = (from: number, count: number) => Array.from({ length: count }, (_, i) => input(from + i));
  return { cook, input, steps, first, later };
}

/** A decision about one bag after a power cut. */
export const decide = (bagId: string, choice: 'go-on' | 'chill' | 'discard', name = 'Ada') =>
  commandSchema.parse({ kind: 'decide-outage', id: `d-${bagId}`, by: 'Hut phone', bagId, choice, name });
