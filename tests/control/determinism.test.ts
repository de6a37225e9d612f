import { describe, expect, it } from 'vitest';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState, type TickState } from '../../controller/tick/state.ts';
import { tick } from '../../controller/tick/tick.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { tickInputSchema } from '../../shared/wire/tick.ts';
import { benchCook, hutBags, say } from './cook.ts';

function story(): TickInput[] {
  const cook = benchCook({ startC: 66, keepInputs: true });
  cook.say(say.start(68));
  cook.run(600);
  cook.say(...hutBags());
  cook.run(900);
  cook.rig.plant?.apply({ kind: 'probe', probe: 'bath', fault: 'absent' });
  cook.run(60);
  cook.rig.plant?.apply({ kind: 'probe', probe: 'bath', fault: 'none' });
  cook.rig.plant?.apply({ kind: 'mains', on: false });
  cook.rig.plant?.apply({ kind: 'lid', on: false });
  cook.run(1800);
  return cook.inputs;
}

const fresh = (): TickState => {
  const checked = checkConfig({});
  if (!checked.ok) throw new Error('the defaults have faults');
  return startState(settingsFrom(checked.config, 'bench'));
};

function freezeDeep<T>(value: T): T {
  if (value !== null && typeof value === 'object' && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const part of Object.values(value)) freezeDeep(part);
  }
  return value;
}

describe('the tick as a function', () => {
  it('gives identical bytes twice from the same inputs', () => {
    const inputs = story();
    const once = inputs.reduce(run, { state: fresh(), out: [] as string[] });
    const twice = inputs.reduce(run, { state: fresh(), out: [] as string[] });
    expect(twice.out.join('\n')).toBe(once.out.join('\n'));
    expect(JSON.stringify(twice.state)).toBe(JSON.stringify(once.state));
  });

  it('survives JSON at any moment: a restored state goes on to the same bytes', () => {
    const inputs = story();
    let plain = fresh();
    let restored = fresh();
    for (const [index, input] of inputs.entries()) {
      const a = tick(plain, input);
      const b = tick(restored, input);
      expect(JSON.stringify(b.output)).toBe(JSON.stringify(a.output));
      plain = a.state;
      restored = index % 97 === 0 ? (JSON.parse(JSON.stringify(b.state)) as TickState) : b.state;
    }
    expect(JSON.stringify(restored)).toBe(JSON.stringify(plain));
  });

  it('does not write into the state or the input it is given', () => {
    let state = freezeDeep(fresh());
    for (const input of story()) state = freezeDeep(tick(state, freezeDeep(input)).state);
    expect(state.cook?.name).toBe('Hut supper');
  });

  it('takes in only what the schema of the journal lets through', () => {
    for (const input of story()) expect(tickInputSchema.parse(input)).toEqual(input);
  });
});

function run(
  acc: { state: TickState; out: string[] },
  input: TickInput,
): { state: TickState; out: string[] } {
  const { state, output } = tick(acc.state, input);
  acc.out.push(JSON.stringify(output));
  return { state, out: acc.out };
}
