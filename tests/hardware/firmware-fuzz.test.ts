import { describe, expect, it } from 'vitest';
import { CYCLES_PER_MS } from '../../hardware/emulator/index.ts';
import { fuzz } from './firmware-fuzz.ts';
import type { Status } from './firmware-hear.ts';
import { Ledger } from './firmware-ledger.ts';
import { connectedState } from './firmware-model.ts';
import { make } from './firmware-wire.ts';

// The campaign (tests/hardware/campaign-fuzz.ts) does 10 million.
const BYTES = 200_000;

describe('200,000 random and mutated bytes with leases among them', () => {
  it('never hang the board, and every edge of the switch pins is the one the ledger of valid leases allows, on its tick', () => {
    const done = fuzz({ bytes: BYTES, seed: 1 });
    expect(done.bytes).toBeGreaterThanOrEqual(BYTES);
    // It did heat, trip and release on the way, and the ledger was all but always sure of what the pins must do.
    expect(done.edges).toBeGreaterThan(150);
    expect(done.heatedMs).toBeGreaterThan(20_000);
    expect(done.trips).toBeGreaterThan(3);
    expect(done.doubtful / done.milliseconds).toBeLessThan(0.001);
  }, 300_000);
});

describe('the ledger', () => {
  const SESSION = 0x1234;
  const NONCE = 77;
  const cycles = (ms: number): number => ms * CYCLES_PER_MS;

  /** A lease of 1600 ms on a nonce issued at 1000 ms, heard at 1100 ms. */
  function ledger(): Ledger {
    const made = new Ledger(0, connectedState(SESSION, 0), 1000);
    made.fromBoard({
      kind: 'status',
      at: cycles(1010),
      status: { nonce: NONCE, uptimeMs: 1000, bathAgeMs: 100 } as Status,
    });
    for (const byte of make.lease({ nonce: NONCE, session: SESSION })) made.toBoard(byte, cycles(1100));
    return made;
  }
  const edge = (ms: number, name: 'guard' | 'regulating', high: boolean, off = 10) => ({
    atCycles: cycles(ms) + off,
    switch: name,
    high,
  });
  const RIGHT = [
    edge(1101, 'guard', true),
    edge(1201, 'regulating', true),
    edge(2600, 'regulating', false),
    edge(2700, 'guard', false),
  ];

  it('agrees with the edges of a lease done right', () => {
    const made = ledger();
    for (const each of RIGHT) made.edge(each);
    made.settle(cycles(3500), 0);
    expect(made.count.edges).toBe(4);
  });

  it.each([
    ['an edge that no lease allows', [...RIGHT, edge(3000, 'guard', true)]],
    ['regulating closing before the guard', [edge(1101, 'regulating', true)]],
    ['regulating opening one tick late', RIGHT.with(2, edge(2601, 'regulating', false))],
    ['regulating opening one tick early', RIGHT.with(2, edge(2599, 'regulating', false))],
    ['regulating that does not open', RIGHT.toSpliced(2, 1)],
    ['a guard that does not open', RIGHT.slice(0, 3)],
    ['a lease that is not honoured', []],
    ['an edge 500 cycles off its tick', RIGHT.with(2, edge(2600, 'regulating', false, 500))],
  ])('objects to %s', (_, edges) => {
    const made = ledger();
    for (const each of edges) made.edge(each);
    expect(() => made.settle(cycles(3500), 0)).toThrow(/ledger allows only|neither with it nor in a trip/);
  });
});
