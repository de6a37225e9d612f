import { describe, expect, it } from 'vitest';
import type { Message } from '../../shared/wire/reach-view.ts';
import { Whole } from './reach-whole.ts';

const SECRET = { env: 'HOOK' };
const PEOPLE = {
  timeZone: 'UTC',
  people: [
    {
      id: 'cook',
      name: 'The cook',
      channels: [{ kind: 'webhook', url: 'https://a.example/x', secret: SECRET }],
    },
    {
      id: 'warden',
      name: 'The warden',
      quietHours: { from: '22:00', to: '06:00' },
      channels: [{ kind: 'webhook', url: 'https://b.example/x', secret: SECRET }],
    },
  ],
};
const NUDGE = {
  key: 'supper/food-in@1',
  title: '21:30 Food in',
  text: '21:30 Food in\nOne bag after the other.',
  nightNeeded: false,
};

/** Calling with ways out that only note what was sent. It is one in the morning there. */
async function calling() {
  const sent: Message[] = [];
  const whole = await new Whole(PEOPLE, {
    openEdges: (_config, roster) => ({
      channels: new Map(
        [...roster.channels.keys()].map((id) => [
          id,
          {
            send: async (message: Message) => {
              sent.push(message);
              return { ok: true as const, detail: 'taken' };
            },
            check: async () => ({ ok: true as const, detail: 'there' }),
          },
        ]),
      ),
      mqtt: null,
      beat: null,
    }),
  }).start();
  return { whole, sent };
}

describe('a reminder of the plan', () => {
  it('goes to each person who is not asleep, at low priority, and says that it is no alarm', async () => {
    const { whole, sent } = await calling();
    expect(whole.reach.remind(NUDGE)).toBe(1);
    await whole.pass(3);
    expect(sent.map((one) => [one.kind, one.priority, one.person.id])).toEqual([['reminder', 'low', 'cook']]);
    expect(sent[0]!.subject).toMatch(/^Reminder: 21:30 Food in/);
    expect(sent[0]!.text).toMatch(/no alarm/);
    expect(sent[0]!.alarms).toEqual([]);
    expect(whole.rows.filter((row) => row.outcome === 'held').map((row) => row.personId)).toEqual(['warden']);
    await whole.reach.close();
  });

  it('comes in the night where the job needs it then', async () => {
    const { whole, sent } = await calling();
    expect(whole.reach.remind({ ...NUDGE, nightNeeded: true })).toBe(2);
    await whole.pass(3);
    expect(sent.map((one) => one.person.id).sort()).toEqual(['cook', 'warden']);
    await whole.reach.close();
  });

  it('waits behind an alarm and is never repeated', async () => {
    const { whole, sent } = await calling();
    whole.reach.remind(NUDGE);
    await whole.alarm('bath-low', 'unacknowledged').pass(1200, 10);
    expect(sent.filter((one) => one.kind === 'reminder')).toHaveLength(1);
    expect(sent.some((one) => one.kind === 'alarm')).toBe(true);
    await whole.reach.close();
  });
});
