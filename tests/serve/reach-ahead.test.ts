import { afterEach, describe, expect, it } from 'vitest';
import type { Edges } from '../../controller/reach/edges.ts';
import { view } from './reach-bench.ts';
import { hutStatus } from './reach-status.ts';
import { Whole } from './reach-whole.ts';

const open: Whole[] = [];
afterEach(async () => {
  for (const hut of open.splice(0)) await hut.reach.close();
});

const PEOPLE = [{ id: 'cook', name: 'Cook', channels: [{ kind: 'mqtt' }] }];
const CONFIG = { people: PEOPLE, mqtt: { host: '127.0.0.1', tls: false } };

/** Calling whose one way out takes everything, and whose readings go to `publish`. */
async function whole(publish: () => void, sent: string[]): Promise<Whole> {
  const edge = {
    send: async ({ subject }: { subject: string }) => {
      sent.push(subject);
      return { ok: true as const, detail: 'taken' };
    },
    check: async () => ({ ok: true as const, detail: 'there' }),
  };
  const openEdges = (_config: unknown, roster: { channels: ReadonlyMap<string, unknown> }): Edges => ({
    channels: new Map([...roster.channels.keys()].map((id) => [id, edge])),
    mqtt: { ...edge, publish, close: async () => undefined },
    beat: null,
  });
  const made = await new Whole(CONFIG, { openEdges }).start();
  open.push(made);
  return made;
}

describe('alarms that come ahead of the disk', () => {
  it('are called out at once, and no older commit makes them seem gone or rings them again', async () => {
    const sent: string[] = [];
    const hut = await whole(() => undefined, sent);
    const late = [view('journal-behind', 'unacknowledged', hut.wallMs)];
    hut.reach.ahead(2000, [], late);
    await hut.reach.idle();
    expect(sent).toEqual(['HIGH: Log not writing - Hut kitchen']);
    // The disk comes back with what was before.
    hut.reach.onAlarms([], hutStatus({ sequence: 1999, alarms: [] }));
    hut.reach.onAlarms([], hutStatus({ sequence: 2000, alarms: late }));
    await hut.reach.idle();
    expect(sent).toHaveLength(1);
    const seen = [view('journal-behind', 'acknowledged', hut.wallMs, 'Warden')];
    hut.reach.onAlarms([], hutStatus({ sequence: 2001, alarms: seen }));
    await hut.reach.idle();
    expect(sent.at(-1)).toContain('acknowledged by Warden');
  });
});

describe('a fault in the calling itself', () => {
  it('in the readings for the broker is told and keeps no alarm back', async () => {
    const sent: string[] = [];
    const hut = await whole(() => {
      throw new Error('broken');
    }, sent);
    await hut.alarm('probe-invalid', 'unacknowledged').commit();
    expect(sent).toEqual(['HIGH: Water probe lost - Hut kitchen']);
    expect(hut.reach.report()).toMatchObject({
      failing: [{ channel: 'the readings for MQTT' }],
      ways: 1,
      waysFailing: 0,
    });
  });

  it('in the plan counts as nobody to be reached: not one call goes out while it lasts', async () => {
    const hut = await whole(() => undefined, []);
    await hut.commit();
    expect(hut.reach.report()).toEqual({ failing: [], ways: 1, waysFailing: 0 });
    const unreadable = [null] as unknown as Parameters<typeof hut.reach.ahead>[2];
    hut.reach.ahead(1, [], unreadable);
    expect(hut.reach.report()).toMatchObject({ ways: 1, waysFailing: 1 });
    expect(hut.log[0]).toContain('TypeError');
    // A step without news goes well; what fails every other step must not seem mended in between.
    hut.reach.tick();
    expect(hut.reach.report().waysFailing).toBe(1);
    hut.clockMs += 60_000;
    hut.reach.tick();
    expect(hut.reach.report().waysFailing).toBe(0);
  });
});
