import { connect as connectSocket, type Socket } from 'node:net';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { type MqttLink, openMqtt } from '../../controller/reach/edge/mqtt.ts';
import { readingsOf } from '../../controller/reach/edge/telemetry.ts';
import type { Outcome } from '../../controller/reach/work.ts';
import { type MqttConfig, reachSchema } from '../../shared/wire/reach.ts';
import { messageSchema } from '../../shared/wire/reach-view.ts';
import { type Broker, Listener, pause, startBroker } from './reach-broker.ts';
import { deadPort, HERE, makeCertificates, means, message, patience, rawBed } from './reach-servers.ts';
import { hutStatus } from './reach-status.ts';

let certificates: Awaited<ReturnType<typeof makeCertificates>>;
let broker: Broker;
const open: (() => Promise<void>)[] = [];

beforeAll(async () => {
  certificates = await makeCertificates();
  broker = await startBroker();
});
afterEach(async () => {
  for (const close of open.splice(0).reverse()) await close();
});
afterAll(async () => {
  await broker.stop();
  certificates.remove();
});

let links = 0;
function link(
  port: number,
  more: object = {},
  how: Parameters<typeof means>[0] = {},
  beyond: Partial<MqttConfig> = {},
): MqttLink {
  links += 1;
  const mqtt = { host: HERE, port, tls: false, topic: `hut/bath${links}`, ...more };
  const config: MqttConfig = { ...reachSchema.parse({ mqtt }).mqtt!, ...beyond };
  const made = openMqtt(
    config,
    means({ caFile: certificates.caFile, ...how }),
    `bathkeeper-test-${links}`,
    100,
  );
  open.push(() => made.close());
  return made;
}

const topic = (name: string): string => `hut/bath${links}/${name}`;

async function listen(port = broker.port, topics = '#', login = {}): Promise<Listener> {
  const listener = await Listener.at(port, topics, login);
  open.push(() => listener.close());
  return listener;
}

/** The outcome once it is of the kind waited for; the first ones may come before the connection. */
async function until(made: MqttLink, is: (outcome: Outcome) => boolean): Promise<Outcome> {
  for (;;) {
    const outcome = await made.check(patience());
    if (is(outcome)) return outcome;
    await pause(10);
  }
}
const connected = (made: MqttLink): Promise<Outcome> => until(made, (outcome) => outcome.ok);

describe('MQTT', () => {
  it('says that the controller is there, and that it went when it ends', async () => {
    const made = link(broker.port);
    await connected(made);
    const listener = await listen();
    expect(await listener.next(topic('availability'))).toMatchObject({
      payload: 'online',
      packet: { retain: true },
    });
    await made.close();
    expect(await listener.next(topic('availability'), 1)).toMatchObject({ payload: 'offline' });
    const later = await listen();
    expect(await later.next(topic('availability'))).toMatchObject({
      payload: 'offline',
      packet: { retain: true },
    });
  });

  it('lets the broker say by last will that it is gone when the line is cut, and comes back by itself', async () => {
    const lines = new Set<Socket>();
    const cable = await rawBed((near) => {
      const far = connectSocket(broker.port, HERE);
      for (const socket of [near, far]) {
        lines.add(socket);
        socket.on('error', () => undefined);
      }
      near.pipe(far).pipe(near);
      near.on('close', () => far.destroy());
    });
    open.push(() => cable.close());
    const made = link(cable.port);
    await connected(made);
    const listener = await listen();
    expect((await listener.next(topic('availability'))).payload).toBe('online');
    for (const socket of lines) socket.destroy();
    expect((await listener.next(topic('availability'), 1)).payload).toBe('offline');
    expect((await listener.next(topic('availability'), 2)).payload).toBe('online');
    expect(await made.send(message(), patience())).toMatchObject({ ok: true });
  });

  it('keeps the latest telemetry at the broker, one topic a value, with the time after which it is void', async () => {
    const made = link(broker.port, { expireS: 45 });
    await connected(made);
    made.publish(readingsOf(hutStatus(), 45));
    const early = await listen();
    await early.next(topic('alarms/priority'));
    const late = await listen();
    const celsius = await late.next(topic('bath/celsius'));
    expect(celsius).toMatchObject({ payload: '71.25', packet: { retain: true } });
    expect(celsius.packet.properties?.messageExpiryInterval).toBeLessThanOrEqual(45);
    expect(JSON.parse((await late.next(topic('state'))).payload)).toMatchObject({
      time: '2026-11-25T01:00:00.000Z',
      expireS: 45,
      bathCelsius: 71.25,
      bathQuality: 'good',
      setpointCelsius: 72,
      heatDuty: 0.4,
      cook: { name: 'Two lamb shoulders', stage: 'holding' },
      alarms: [{ alarmId: 'bath-low', priority: 'medium', state: 'unacknowledged', active: true }],
    });
    expect((await late.next(topic('alarms/priority'))).payload).toBe('medium');
    expect((await late.next(topic('alarms/unacknowledged'))).payload).toBe('1');
  });

  it('takes a temperature away rather than leave an old one standing, when the probe is lost', async () => {
    const made = link(broker.port);
    await connected(made);
    const listener = await listen();
    made.publish(readingsOf(hutStatus(), 60));
    await listener.next(topic('bath/celsius'));
    made.publish(readingsOf(hutStatus({ bath: { celsius: 71.25, quality: 'absent', ageMs: 9000 } }), 60));
    expect((await listener.next(topic('bath/celsius'), 1)).payload).toBe('');
    expect(JSON.parse((await listener.next(topic('state'), 1)).payload)).toMatchObject({
      bathCelsius: null,
      bathQuality: 'absent',
    });
    const late = await listen();
    await late.next(topic('alarms/priority'));
    expect(late.got.filter((one) => one.topic === topic('bath/celsius'))).toEqual([]);
  });

  it('lets telemetry go at the broker once it is too old', async () => {
    const made = link(broker.port, {}, {}, { expireS: 1 });
    await connected(made);
    made.publish([{ topic: 'brief', payload: '1' }]);
    for (;;) {
      const late = await Listener.at(broker.port, topic('#'));
      await late.next(topic('availability'));
      const gone = !late.got.some((one) => one.topic === topic('brief'));
      await late.close();
      if (gone) break;
      await pause(200);
    }
  });

  it('hands a message for a person to the broker, confirmed, for those who listen now and for nobody later', async () => {
    const made = link(broker.port);
    await connected(made);
    const listener = await listen();
    expect(await made.send(message(), patience())).toEqual({ ok: true, detail: 'the MQTT broker took it' });
    const got = await listener.next(topic('message/cook'));
    expect(got.packet).toMatchObject({ qos: 1, retain: false });
    expect(messageSchema.parse(JSON.parse(got.payload))).toEqual(message());
    const late = await listen();
    await late.next(topic('availability'));
    expect(late.got.filter((one) => one.topic === topic('message/cook'))).toEqual([]);
  });

  it('logs in, and fails and says so with a wrong password or without the right to publish', async () => {
    const login = { user: 'bath', password: { env: 'BROKER' } };
    const strict = await startBroker({
      user: 'bath',
      password: 'broker pass',
      access: ['user bath', 'topic write hut/+/availability', 'topic read #'],
    });
    open.push(() => strict.stop());
    const wrong = link(strict.port, login, { env: { BROKER: 'hunter2' } });
    const end = await until(wrong, (outcome) => !outcome.ok && outcome.permanent);
    expect(end).toMatchObject({ at: 'answer' });
    expect(JSON.stringify(end)).toMatch(/refused the connection \(reason 13[45]\)/);
    expect(JSON.stringify(end)).not.toContain('hunter2');
    const right = link(strict.port, login, { env: { BROKER: 'broker pass' } });
    await connected(right);
    // Reason 135 of MQTT 5: not authorised.
    expect(await right.send(message(), patience())).toMatchObject({
      ok: false,
      permanent: true,
      at: 'answer',
    });
  });

  it('fails and says where the password should be, and goes on once it is there', async () => {
    const strict = await startBroker({ user: 'bath', password: 'broker pass' });
    open.push(() => strict.stop());
    const env: Record<string, string> = {};
    const made = link(strict.port, { user: 'bath', password: { env: 'BROKER' } }, { env });
    const end = await made.check(patience());
    expect(JSON.stringify(end)).toContain('environment variable BROKER');
    env.BROKER = 'broker pass';
    await connected(made);
  });

  it('gives nothing to a broker whose certificate is of another name or of an unknown issuer', async () => {
    for (const [certificate, good] of [
      [certificates.good, true],
      [certificates.otherName, false],
      [certificates.untrusted, false],
    ] as const) {
      const secure = await startBroker({ tls: certificate });
      open.push(() => secure.stop());
      const made = link(secure.port, { tls: true });
      const end = await until(made, (one) => one.ok || /certificate/.test(JSON.stringify(one)));
      expect(end).toMatchObject(good ? { ok: true } : { ok: false, at: 'connect' });
    }
  });

  it('fails while the broker is not there, and works once it is', async () => {
    const port = await deadPort();
    const made = link(port);
    const end = await until(made, (outcome) => JSON.stringify(outcome).includes('ECONNREFUSED'));
    expect(end).toMatchObject({ ok: false, permanent: false, at: 'connect' });
    expect(await made.send(message(), patience())).toMatchObject({ ok: false });
    const late = await startBroker({ port });
    open.push(() => late.stop());
    await connected(made);
    expect(await made.send(message(), patience())).toMatchObject({ ok: true });
  });

  it('gives up a broker that takes a message and never confirms it, subscribes to nothing, and never repeats by itself', async () => {
    const packets: Packet[] = [];
    const sockets: Socket[] = [];
    const liar = await rawBed((socket) => {
      sockets.push(socket);
      socket.on('data', (data) => {
        for (const packet of packetsIn(data)) {
          packets.push(packet);
          // CONNACK of MQTT 5 (section 3.2): success, no properties. PUBACK (3.4), but for no message to a person.
          if (packet.type === 1) socket.write(Buffer.from([0x20, 3, 0, 0, 0]));
          if (packet.type === 3 && packet.topic.endsWith('availability')) {
            socket.write(Buffer.from([0x40, 2, packet.id >> 8, packet.id & 255]));
          }
        }
      });
    });
    open.push(() => liar.close());
    const made = link(liar.port, {}, { timeoutMs: 2000 });
    await connected(made);
    const end = await made.send(message(), patience());
    expect(end).toMatchObject({ ok: false, permanent: false, at: 'answer' });
    const hellos = (): number => packets.filter((one) => one.topic.endsWith('availability')).length;
    const before = hellos();
    for (const socket of sockets.splice(0)) socket.destroy();
    while (hellos() === before) await pause(10);
    // What the library would repeat by itself it repeats before anything new: the next message comes after it.
    const next = made.send(message(), patience());
    while (packets.filter((one) => one.topic.endsWith('message/cook')).length < 2) await pause(10);
    await next;
    expect(packets.filter((one) => one.topic.endsWith('message/cook'))).toHaveLength(2);
    expect(packets.some((one) => one.type === 8)).toBe(false);
  });
});

interface Packet {
  readonly type: number;
  readonly topic: string;
  readonly id: number;
}

/** Packets in a chunk (MQTT 5, sections 2.1 and 3.3): 1 connect, 3 publish with topic and id, 8 subscribe. */
function packetsIn(data: Buffer): Packet[] {
  const packets: Packet[] = [];
  for (let at = 0; at < data.length; ) {
    const type = data[at]! >> 4;
    let length = 0;
    let shift = 0;
    let byte = 0;
    do {
      at += 1;
      byte = data[at] ?? 0;
      length += (byte & 127) << shift;
      shift += 7;
    } while (byte & 128);
    at += 1;
    const topicLength = type === 3 ? data.readUInt16BE(at) : 0;
    const topic = data.subarray(at + 2, at + 2 + topicLength).toString();
    packets.push({ type, topic, id: type === 3 ? data.readUInt16BE(at + 2 + topicLength) : 0 });
    at += length;
  }
  return packets;
}
