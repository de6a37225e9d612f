import type { TickInput } from '../../../shared/wire/tick.ts';
import type { Sense } from '../sense.ts';
import type { TickState } from '../state.ts';

/** What every check may look at: this tick's input and what it was judged to be, and the state so far. */
export interface Context {
  readonly input: TickInput;
  readonly sense: Sense;
  readonly state: TickState;
}
