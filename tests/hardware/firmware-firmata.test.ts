import { createRequire } from 'node:module';
import { afterEach, describe, expect, it } from 'vitest';
import { Board, BoardStream, runFree } from '../../hardware/emulator/index.ts';
import { image, rom } from './firmware-rig.ts';
import { bodyOf, CODE, crc8, ID, make } from './firmware-wire.ts';

/** What is used here of firmata-io, which ships no types. */
interface Client extends NodeJS.EventEmitter {
  pins: { supportedModes: number[]; mode: number; value: number; state?: number; analogChannel: number }[];
  analogPins: number[];
  version: { major: number; minor: number };
  firmware: { name: string; version: { major: number; minor: number } };
  MODES: Record<string, number>;
  RESOLUTION: { ADC: number | null };
  pinMode(pin: number, mode: number): void;
  digitalWrite(pin: number, value: number): void;
  digitalRead(pin: number, callback: (value: number) => void): void;
  analogRead(pin: number, callback: (value: number) => void): void;
  queryPinState(pin: number, callback: () => void): void;
  sendOneWireConfig(pin: number, parasitic: boolean): void;
  sendOneWireSearch(pin: number, callback: (error: Error | null, devices: number[][]) => void): void;
  sendOneWireAlarmsSearch(pin: number, callback: (error: Error | null, devices: number[][]) => void): void;
  sendOneWireReset(pin: number): void;
  sendOneWireWrite(pin: number, device: number[], data: number | number[]): void;
  sendOneWireDelay(pin: number, ms: number): void;
  sendOneWireWriteAndRead(
    pin: number,
    device: number[],
    data: number | number[],
    count: number,
    callback: (error: Error | null, data: number[]) => void,
  ): void;
  sysexCommand(bytes: number[]): void;
  sysexResponse(id: number, handler: (bytes: number[]) => void): void;
  clearSysexResponse(id: number): void;
  reset(): void;
}
const { Firmata } = createRequire(import.meta.url)('firmata-io') as {
  Firmata: new (transport: unknown, options: object) => Client;
};

const PROBES = [1, 2, 3];
let clients: Client[] = [];
afterEach(() => {
  for (const client of clients) {
    for (const id of [ID.status, ID.probe, ID.answer]) client.clearSysexResponse(id);
  }
  clients = [];
});

/** A board, and firmata-io that has finished its handshake with it. */
async function ready(
  celsius = 25.0625,
): Promise<{ board: Board; client: Client; run: (ms: number) => Promise<void> }> {
  const board = new Board({
    hex: image(),
    probes: PROBES.map((n) => ({ rom: rom(n), celsius: () => celsius })),
    analog: (channel) => (channel === 0 ? 0.25 : 0.75),
  });
  const stream = new BoardStream(board, { resetOnOpen: true });
  const client = new Firmata(stream, { reportVersionTimeout: 200 });
  clients.push(client);
  let isReady = false;
  client.once('ready', () => {
    isReady = true;
  });
  const run = (ms: number): Promise<void> => runFree(board, Math.ceil(board.nowMs) + ms);
  for (let i = 0; i < 100 && !isReady; i++) await run(50);
  expect(isReady).toBe(true);
  return { board, client, run };
}

/** Lets the board run until the promise settles. */
async function during<T>(
  run: (ms: number) => Promise<void>,
  promise: Promise<T>,
  withinMs = 4000,
): Promise<T> {
  let done = false;
  promise.then(
    () => {
      done = true;
    },
    () => {
      done = true;
    },
  );
  for (let ms = 0; ms < withinMs && !done; ms += 20) await run(20);
  if (!done) throw new Error(`Nothing came within ${withinMs} ms.`);
  return promise;
}

// firmata-io is the reference: what it makes of the board's answers is what any host of that protocol will.
describe('firmata-io as the client', () => {
  it('finishes its handshake: protocol, firmware name and version, pins, analog channels', async () => {
    const { client } = await ready();
    expect(client.version).toEqual({ major: 2, minor: 6 });
    expect(client.firmware.name).toBe('Bathkeeper');
    expect(client.pins.length).toBe(20);
    expect(client.analogPins).toEqual([14, 15, 16, 17, 18, 19]);
    expect(client.RESOLUTION.ADC).toBe(1023);
  });

  it('is offered no mode at all for the UART, the switches, the sounder and the lamp', async () => {
    const { client } = await ready();
    const { INPUT, OUTPUT, PULLUP, ANALOG, ONEWIRE } = client.MODES;
    for (const pin of [0, 1, 7, 8, 9, 13]) expect(client.pins[pin]!.supportedModes).toEqual([]);
    expect(client.pins[2]!.supportedModes).toEqual([ONEWIRE]);
    expect(client.pins[4]!.supportedModes).toEqual([PULLUP]);
    for (const pin of [3, 5, 6, 10, 11, 12])
      expect(client.pins[pin]!.supportedModes).toEqual([INPUT, OUTPUT, PULLUP]);
    for (const pin of [14, 19])
      expect(client.pins[pin]!.supportedModes).toEqual([INPUT, OUTPUT, ANALOG, PULLUP]);
  });

  it('moves a free pin, and never a switch pin that shares its port', async () => {
    const { board, client, run } = await ready();
    for (const pin of [5, 7, 8, 10]) {
      client.pinMode(pin, client.MODES.OUTPUT!);
      client.digitalWrite(pin, 1);
    }
    await run(50);
    expect([5, 7, 8, 10].map((pin) => board.pin(pin))).toEqual(['high', 'low', 'low', 'high']);
    client.digitalWrite(5, 0);
    await run(50);
    expect(board.pin(5)).toBe('low');
  });

  it('hears a digital input change, the level switch among them', async () => {
    const { board, client, run } = await ready();
    const heard: [number, number][] = [];
    client.pinMode(3, client.MODES.PULLUP!);
    client.digitalRead(3, (value) => heard.push([3, value]));
    client.pinMode(4, client.MODES.PULLUP!);
    client.digitalRead(4, (value) => heard.push([4, value]));
    board.setInput(3, true);
    await run(100);
    heard.length = 0;
    board.setInput(3, false);
    board.waterPresent = false;
    await run(100);
    expect(heard.filter(([pin]) => pin === 3).at(-1)).toEqual([3, 0]);
    expect(heard.filter(([pin]) => pin === 4).at(-1)).toEqual([4, 1]);
  });

  it('reads an analog input as ten bits', async () => {
    const { client, run } = await ready();
    const value = await during(run, new Promise<number>((resolve) => client.analogRead(0, resolve)));
    expect(Math.abs(value - 256)).toBeLessThanOrEqual(3);
    const other = await during(run, new Promise<number>((resolve) => client.analogRead(1, resolve)));
    expect(Math.abs(other - 767)).toBeLessThanOrEqual(3);
  });

  it('asks for the state of a pin', async () => {
    const { client, run } = await ready();
    client.pinMode(6, client.MODES.OUTPUT!);
    client.digitalWrite(6, 1);
    await during(run, new Promise<void>((resolve) => client.queryPinState(6, resolve)));
    expect(client.pins[6]).toMatchObject({ mode: client.MODES.OUTPUT, state: 1 });
    await during(run, new Promise<void>((resolve) => client.queryPinState(7, resolve)));
    expect(client.pins[7]!.mode).toBe(client.MODES.IGNORE);
  });

  it('carries our own messages past it, both ways', async () => {
    const { client, run } = await ready();
    const bodies: (number[] | null)[] = [];
    client.sysexResponse(ID.status, (bytes) => bodies.push(bodyOf([ID.status, ...bytes])));
    await run(1000);
    expect(bodies.length).toBeGreaterThanOrEqual(4);
    expect(bodies.every((body) => body !== null)).toBe(true);
    const answer = new Promise<number[]>((resolve) => client.sysexResponse(ID.answer, resolve));
    client.sysexCommand(make.limits({ rom: rom(1), tag: 77 }).slice(1, -1));
    const body = bodyOf([ID.answer, ...(await during(run, answer))])!;
    expect(body.slice(0, 3)).toEqual([77, ID.limits, CODE.ok]);
  });
});

/** What is used here of johnny-five, which ships no types. */
interface JohnnyFive {
  Board: new (options: object) => NodeJS.EventEmitter;
  Led: new (pin: number) => { on(): void; off(): void };
  Relay: new (pin: number) => { close(): void; isClosed: boolean };
}

describe('johnny-five on top of it', () => {
  it('lights a lamp on a free pin, and cannot close a switch: its relay only believes it has', async () => {
    const five = createRequire(import.meta.url)('johnny-five') as JohnnyFive;
    const { board, client, run } = await ready();
    const host = new five.Board({ io: client, repl: false, debug: false, sigint: false });
    await during(run, new Promise<void>((resolve) => host.once('ready', resolve)));
    const lamp = new five.Led(5);
    lamp.on();
    await run(100);
    expect(board.pin(5)).toBe('high');
    lamp.off();
    await run(100);
    expect(board.pin(5)).toBe('low');
    for (const pin of [7, 8]) {
      const relay = new five.Relay(pin);
      relay.close();
      expect(relay.isClosed).toBe(true);
    }
    await run(100);
    expect([board.pin(7), board.pin(8)]).toEqual(['low', 'low']);
    expect(board.switches.state.edges).toEqual([]);
  });
});

describe('the board as a plain 1-Wire reader', () => {
  it('searches its bus', async () => {
    const { client, run } = await ready();
    const found = await during(
      run,
      new Promise<number[][]>((resolve) => client.sendOneWireSearch(2, (_, devices) => resolve(devices))),
    );
    expect(found.map(String).sort()).toEqual(PROBES.map((n) => String(rom(n))).sort());
  });

  it('converts and reads one probe by reset, write, delay, write and read, as host libraries do', async () => {
    const { client, run } = await ready(-10.125);
    client.sendOneWireConfig(2, false);
    client.sendOneWireReset(2);
    client.sendOneWireWrite(2, rom(2), 0x44);
    client.sendOneWireDelay(2, 760);
    client.sendOneWireReset(2);
    const pad = await during(
      run,
      new Promise<number[]>((resolve) =>
        client.sendOneWireWriteAndRead(2, rom(2), 0xbe, 9, (_, data) => resolve(data)),
      ),
    );
    // -10.125 degC = FF5E: DS18B20 data sheet, table 1.
    expect(pad.slice(0, 2)).toEqual([0x5e, 0xff]);
    expect(crc8(pad.slice(0, 8))).toBe(pad[8]);
  });

  it('finds probes in alarm', async () => {
    // Alarm limits of the part as delivered by the emulator: 75 and 70 degC; at 80 every probe is in alarm.
    const { client, run } = await ready(80);
    await run(2000);
    const found = await during(
      run,
      new Promise<number[][]>((resolve) =>
        client.sendOneWireAlarmsSearch(2, (_, devices) => resolve(devices)),
      ),
    );
    expect(found.length).toBe(PROBES.length);
  });

  it('goes back to its own cycle a few seconds after the last request', async () => {
    const { client, run } = await ready();
    let probes = 0;
    client.sysexResponse(ID.probe, () => {
      probes += 1;
    });
    client.sendOneWireSearch(2, () => {});
    await run(2000);
    const during2s = probes;
    await run(4000);
    expect(during2s).toBeLessThanOrEqual(PROBES.length);
    expect(probes).toBeGreaterThanOrEqual(during2s + 2 * PROBES.length);
  });

  it('is no plain reader once limits are set: it says so in words, and goes on with its own cycle', async () => {
    const { board, client, run } = await ready();
    board.link.write(make.limits({ rom: rom(1) }));
    await run(50);
    const said = new Promise<string>((resolve) => client.once('string', resolve));
    client.sendOneWireReset(2);
    expect(await during(run, said)).toMatch(/^1-Wire refused: limits are set/);
  });

  it('bears any content of a 1-Wire request without losing its own readings', async () => {
    const { board, client, run } = await ready();
    let probes = 0;
    client.sysexResponse(ID.probe, () => {
      probes += 1;
    });
    let seed = 7;
    const random = (below: number): number => {
      seed = (seed * 48_271) % 0x7fffffff;
      return seed % below;
    };
    for (let i = 0; i < 300; i++) {
      const content = Array.from({ length: random(70) }, () => random(128));
      board.link.write([0xf0, 0x73, random(128), 2, ...content, 0xf7]);
      await run(20);
    }
    client.reset();
    await run(15_000);
    probes = 0;
    await run(3000);
    expect(probes).toBeGreaterThanOrEqual(2 * PROBES.length);
    expect(board.resets.watchdog).toBe(0);
  });
});
