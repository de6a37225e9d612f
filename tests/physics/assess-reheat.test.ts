import { describe, expect, it } from 'vitest';
import { assessed, csvOf, rowsOf } from '../serve/assess-run.ts';

const FLAGS = ['--cut', 'pork-neck', '--circulation', 'pumped', '--profile', 'us-food-code'] as const;
const HOUR = 3600;

/** A log of an hour a piece at these bath temperatures, C. */
const hours = (...bathC: number[]) =>
  csvOf(rowsOf(bathC.length * HOUR, 30, (s) => bathC[Math.min(bathC.length - 1, Math.floor(s / HOUR))]!));
const COOKED = [65, 65, 65, 65];
const CHILLED = [1, 1, 1];

// FDA Food Code 3-501.14(A): 135 to 70 F within 2 h, to 41 F within 6 h in all; 3-501.16: hot food stays hot.
describe('food that was chilled and is heated again', () => {
  it('has kept its cooling rule, and is not said to have fallen from its hot holding while it warms', async () => {
    const again = await assessed(hours(...COOKED, ...CHILLED, 65, 65, 65), ...FLAGS);
    expect(again.cooling!.ok).toBe(true);
    expect(again.envelope.cooling!.ok).toBe(true);
    expect(again.envelope.breaches).toEqual([]);
    expect(again.hotHold).toMatchObject({ held: true, ok: true });
  });

  it('is judged anew when it cools again: in water of 19 C it never comes to 5 C, which breaks the rule for good', async () => {
    const tepid = Array.from({ length: 9 }, () => 19);
    const again = await assessed(hours(...COOKED, ...CHILLED, 65, 65, 65, ...tepid), ...FLAGS);
    expect(again.cooling!.ok).toBe(false);
    expect(again.cooling!.rules[0]!.status).toBe('broken');
    expect(again.envelope.breaches.map(({ limit }) => limit)).toContain('cooling');
    const cold = await assessed(
      hours(...COOKED, ...CHILLED, 65, 65, 65, ...tepid, 65, 65, 1, 1, 1),
      ...FLAGS,
    );
    expect(cold.envelope.breaches.map(({ limit }) => limit)).toContain('cooling');
  });

  it('falls below its hot holding once it was hot again and the bath cools', async () => {
    const lukewarm = Array.from({ length: 3 }, () => 45);
    const again = await assessed(hours(...COOKED, ...CHILLED, 65, 65, 65, ...lukewarm), ...FLAGS);
    expect(again.envelope.breaches.map(({ limit }) => limit)).toContain('hot-hold');
  });
});
