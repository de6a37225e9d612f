import { describe, expect, it } from 'vitest';
import { BOUNDS, HoldQueue } from '../../controller/journal/queue.ts';
import { COOK_ID, cookRow, taken, tick } from './journal-fixture.ts';

const plain = (sequence: number) => tick(sequence);
const durable = (sequence: number) =>
  tick(sequence, {
    commands: [taken({ kind: 'stop-heat', id: `c${sequence}`, by: 'cook' })],
    cook: cookRow(),
  });
const SMALL = { samples: 5, durable: 3, batch: 100, snapshots: 2 };

function drained(queue: HoldQueue): number[] {
  const out: number[] = [];
  for (let batch = queue.take(); batch; batch = queue.take()) {
    out.push(...batch.records.map(({ sample }) => sample.sequence));
    queue.confirm();
  }
  return out;
}

describe('the queue before the disk', () => {
  it('has bounds of two hours of samples and of more commands than two hours can bring', () => {
    expect(BOUNDS.samples).toBe(2 * 3600);
    expect(BOUNDS.durable).toBeGreaterThan(2 * 3600);
  });

  it('leaves out the oldest samples at its bound, never a command, alarm or decision', () => {
    const queue = new HoldQueue(SMALL);
    for (let n = 1; n <= 12; n += 1) queue.push(n % 5 === 2 ? durable(n) : plain(n));
    expect(queue.leftOut).toBe(4);
    expect(drained(queue)).toEqual([2, 6, 7, 8, 9, 10, 11, 12]);
    expect(queue.refusing).toBe(false);
  });

  it('takes nothing more once even commands are too many, and stays behind for good, so that none is confirmed by mistake', () => {
    const queue = new HoldQueue(SMALL);
    for (let n = 1; n <= 5; n += 1) queue.push(durable(n));
    queue.push(plain(6));
    expect(queue.refusing).toBe(true);
    expect(drained(queue)).toEqual([1, 2, 3]);
    queue.push(plain(7));
    expect(drained(queue)).toEqual([]);
    expect(queue.oldestMs).toBe(durable(4).input.monotonicMs);
  });

  it('gives the same batch again until it is confirmed', () => {
    const queue = new HoldQueue({ ...SMALL, batch: 2 });
    for (let n = 1; n <= 3; n += 1) queue.push(plain(n));
    const first = queue.take();
    queue.push(plain(4));
    expect(queue.take()).toBe(first);
    expect(queue.oldestMs).toBe(plain(1).input.monotonicMs);
    queue.confirm();
    expect(queue.take()?.records.map(({ sample }) => sample.sequence)).toEqual([3, 4]);
    queue.confirm();
    expect(queue.take()).toBeNull();
    expect(queue.empty).toBe(true);
    expect(queue.oldestMs).toBeNull();
  });

  it('sends a snapshot no sooner than the tick it belongs to, and keeps the newest when they pile up', () => {
    const queue = new HoldQueue({ ...SMALL, batch: 2 });
    for (let n = 1; n <= 4; n += 1) queue.push(plain(n));
    for (const n of [1, 3, 4]) queue.pushSnapshot(n, `{"at":${n}}`);
    expect(queue.take()?.snapshots).toEqual([]);
    queue.confirm();
    expect(queue.holds(4)).toBe(true);
    expect(queue.take()?.snapshots.map(({ sequence }) => sequence)).toEqual([3, 4]);
    queue.confirm();
    expect(queue.holds(4)).toBe(false);
  });

  it('is urgent as soon as it holds a command, and when a batch is full', () => {
    const queue = new HoldQueue({ ...SMALL, batch: 3 });
    queue.push(plain(1));
    expect(queue.urgent).toBe(false);
    queue.push(durable(2));
    expect(queue.urgent).toBe(true);
    queue.take();
    queue.confirm();
    for (let n = 3; n <= 5; n += 1) queue.push(tick(n, { cookId: COOK_ID }));
    expect(queue.urgent).toBe(true);
  });
});
