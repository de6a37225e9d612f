import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect as connectSocket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connectAsync, type IPublishPacket, type MqttClient } from 'mqtt';
import { need } from '../need.mjs';
import { type Certificate, deadPort, HERE } from './reach-servers.ts';

export interface BrokerOptions {
  readonly port?: number;
  readonly tls?: Certificate;
  readonly user?: string;
  readonly password?: string;
  /** Lines of an access list; without it everybody may do everything. */
  readonly access?: string[];
}

export interface Broker {
  readonly port: number;
  stop(): Promise<void>;
}

/** A real broker (mosquitto) as a child, on a free port of this machine. */
export async function startBroker(options: BrokerOptions = {}): Promise<Broker> {
  await need('mosquitto', 'mosquitto');
  const folder = mkdtempSync(join(tmpdir(), 'reach-broker-'));
  const port = options.port ?? (await deadPort());
  const file = (name: string, text = ''): string => {
    const path = join(folder, name);
    writeFileSync(path, text);
    return path;
  };
  const lines = [`listener ${port} ${HERE}`, 'user root', `allow_anonymous ${options.user === undefined}`];
  if (options.user !== undefined) {
    const path = file('passwords');
    execFileSync('mosquitto_passwd', ['-b', path, options.user, options.password ?? ''], { stdio: 'ignore' });
    lines.push(`password_file ${path}`);
  }
  if (options.access) lines.push(`acl_file ${file('access', options.access.join('\n'))}`);
  if (options.tls) lines.push(`certfile ${options.tls.certFile}`, `keyfile ${options.tls.keyFile}`);
  const child = spawn('mosquitto', ['-c', file('mosquitto.conf', lines.join('\n'))], { stdio: 'ignore' });
  await listening(child, port);
  return {
    port,
    async stop() {
      const ended = new Promise((resolve) => child.once('exit', resolve));
      if (child.exitCode === null && child.kill('SIGKILL')) await ended;
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Resolves once the broker takes connections. @throws where it ends instead */
async function listening(child: ChildProcess, port: number): Promise<void> {
  for (;;) {
    if (child.exitCode !== null) throw new Error(`mosquitto ended with ${child.exitCode}`);
    const open = await new Promise<boolean>((resolve) => {
      const socket = connectSocket(port, HERE, () => resolve(true));
      socket.on('error', () => resolve(false));
      socket.on('connect', () => socket.destroy());
    });
    if (open) return;
    await pause(50);
  }
}

export const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Somebody who listens at the broker. */
export class Listener {
  readonly got: { topic: string; payload: string; packet: IPublishPacket }[] = [];
  private readonly client: MqttClient;

  private constructor(client: MqttClient) {
    this.client = client;
    client.on('message', (topic, payload, packet) =>
      this.got.push({ topic, payload: String(payload), packet }),
    );
  }

  static async at(
    port: number,
    topics = '#',
    login: { username?: string; password?: string } = {},
  ): Promise<Listener> {
    const client = await connectAsync(`mqtt://${HERE}:${port}`, { protocolVersion: 5, ...login });
    const listener = new Listener(client);
    await client.subscribeAsync(topics, { qos: 1 });
    return listener;
  }

  /** Waits for a message on a topic, from the n-th of it on. */
  async next(topic: string, from = 0): Promise<{ payload: string; packet: IPublishPacket }> {
    for (;;) {
      const found = this.got.filter((one) => one.topic === topic)[from];
      if (found) return found;
      await pause(10);
    }
  }

  close(): Promise<void> {
    return this.client.endAsync(true);
  }
}
