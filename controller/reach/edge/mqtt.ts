import { connect, type IClientOptions, type IClientPublishOptions, type MqttClient } from 'mqtt';
import type { MqttConfig } from '../../../shared/wire/reach.ts';
import type { Message } from '../../../shared/wire/reach-view.ts';
import type { Outcome } from '../work.ts';
import {
  codeText,
  connectionText,
  type Edge,
  type EdgeMeans,
  refused,
  unreachable,
  unusable,
} from './edge.ts';
import { SecretError } from './secrets.ts';
import type { Reading } from './telemetry.ts';

const WHO = 'the MQTT broker';
const RECONNECT_MS = 5000;
/** A message to a person that nobody fetched within this is no longer of use. */
const MESSAGE_EXPIRY_S = 3600;
/** Goodbyes may take this long. */
const CLOSE_MS = 2000;

/**
 * The one connection with the broker, in MQTT 5. It only publishes: it subscribes to nothing, so nothing that arrives
 * there can move the bath. Topics under the one configured:
 * `availability` (`online`, and by last will `offline`), `state` and its values one by one (retained, expiring), and
 * `message/<person>` (not retained).
 */
export interface MqttLink extends Edge {
  /** Publishes readings, retained, where there is a connection; else drops them: old readings are of no use. */
  publish(readings: readonly Reading[]): void;
  /** Says that it goes offline, and ends. */
  close(): Promise<void>;
}

/** Opens the connection; it is kept up and opened again by itself. `clientId` must be unique at the broker. */
export function openMqtt(
  config: MqttConfig,
  means: EdgeMeans,
  clientId: string,
  reconnectMs = RECONNECT_MS,
): MqttLink {
  const availability = `${config.topic}/availability`;
  const options = () => optionsFor(config, means, clientId, reconnectMs);
  const wire = new Wire(options, availability);
  return {
    async send(message, signal) {
      const live = await wire.connected();
      if (!live) return wire.trouble;
      return publishConfirmed(live, `${config.topic}/message/${message.person.id}`, message, means, signal);
    },
    async check() {
      return (await wire.connected()) ? { ok: true, detail: `${WHO} is connected` } : wire.trouble;
    },
    publish(readings) {
      const live = wire.client();
      for (const { topic, payload } of live ? readings : []) {
        live?.publish(`${config.topic}/${topic}`, payload, {
          qos: 0,
          retain: true,
          properties: { messageExpiryInterval: config.expireS },
        });
      }
    },
    close: () => wire.close(),
  };
}

/** The connection itself, and why there is none. */
class Wire {
  /** Why there is no connection; stale while there is one. */
  trouble: Outcome = unreachable(`${WHO} has not answered yet`);
  private live: MqttClient | null = null;
  private closed = false;
  private starting: Promise<void>;
  private again: Promise<void> | null = null;
  private readonly options: () => Promise<IClientOptions>;
  private readonly availability: string;

  constructor(options: () => Promise<IClientOptions>, availability: string) {
    this.options = options;
    this.availability = availability;
    this.starting = this.start();
  }

  /** The client where it is connected at this moment. */
  client(): MqttClient | null {
    return this.live?.connected ? this.live : null;
  }

  /** The same, after trying again what could not be begun or was refused: another password may have come since. */
  async connected(): Promise<MqttClient | null> {
    await this.starting;
    if (!this.live && !this.closed) {
      // Whoever asks meanwhile waits for the same: two connections of one name would throw each other out for ever.
      this.again ??= this.start().finally(() => {
        this.again = null;
      });
      await this.again;
    }
    return this.client();
  }

  async close(): Promise<void> {
    this.closed = true;
    await this.starting;
    await this.again;
    if (this.live) await goodbye(this.live, this.availability);
  }

  private async start(): Promise<void> {
    let options: IClientOptions;
    try {
      options = await this.options();
    } catch (error) {
      const why = error instanceof SecretError ? error.message : `${WHO} cannot be used (${codeText(error)})`;
      this.trouble = unusable(why);
      return;
    }
    if (this.closed) return;
    const client = connect({
      ...options,
      will: { topic: this.availability, payload: Buffer.from('offline'), qos: 1, retain: true },
    });
    this.live = client;
    client.on('connect', () => {
      this.trouble = unreachable(`${WHO} closed the connection`);
      client.publish(this.availability, 'online', { qos: 1, retain: true });
    });
    client.on('error', (error) => {
      this.trouble = troubleOf(error);
      if (!isReason(error) || this.live !== client) return;
      // The library never tries again after a refusal: it is begun anew, with what the secret is by then.
      this.live = null;
      client.end(true);
    });
  }
}

async function optionsFor(
  config: MqttConfig,
  means: EdgeMeans,
  clientId: string,
  reconnectMs: number,
): Promise<IClientOptions> {
  const ca = await means.ca();
  return {
    protocol: config.tls ? 'mqtts' : 'mqtt',
    host: config.host,
    port: config.port ?? (config.tls ? 8883 : 1883),
    protocolVersion: 5,
    clientId,
    clean: true,
    reconnectPeriod: reconnectMs,
    connectTimeout: means.timeoutMs,
    keepalive: 30,
    queueQoSZero: false,
    ...(config.user !== null && { username: config.user }),
    ...(config.password !== null && { password: await means.secret(config.password) }),
    ...(ca && { ca: [...ca] }),
    rejectUnauthorized: true,
  };
}

const isReason = (error: unknown): boolean => typeof (error as { code?: unknown }).code === 'number';

/** A reason code of MQTT 5 (section 2.4) is a no; anything else is a connection that did not come about. */
function troubleOf(error: unknown): Outcome {
  const code = (error as { code?: unknown }).code;
  return typeof code === 'number'
    ? refused(`${WHO} refused the connection (reason ${code})`, true)
    : unreachable(connectionText(WHO, error));
}

/** Publishes with quality of service 1 and waits for the broker's word. */
function publishConfirmed(
  client: MqttClient,
  topic: string,
  message: Message,
  means: EdgeMeans,
  signal: AbortSignal,
): Promise<Outcome> {
  return new Promise((resolve) => {
    const options: IClientPublishOptions = {
      qos: 1,
      properties: { messageExpiryInterval: MESSAGE_EXPIRY_S, contentType: 'application/json' },
    };
    const end = (outcome: Outcome): void => {
      clearTimeout(timer);
      signal.removeEventListener('abort', onAbort);
      resolve(outcome);
    };
    // What is given up here must not be sent by the library later: the plan sends it again itself.
    const giveUp = (why: string): void => {
      end(refused(why, false));
      if (messageId !== null) client.removeOutgoingMessage(messageId);
    };
    const onAbort = (): void => giveUp('given up');
    const timer = setTimeout(
      () => giveUp(`${WHO} did not confirm within ${means.timeoutMs / 1000} s`),
      means.timeoutMs,
    );
    signal.addEventListener('abort', onAbort, { once: true });
    let messageId: number | null = null;
    client.publish(topic, JSON.stringify(message), options, (error) => {
      if (error) end(refused(`${WHO} did not take it (${reasonText(error)})`, isRefusal(error)));
      else end({ ok: true, detail: `${WHO} took it` });
    });
    messageId = client.getLastMessageId();
  });
}

const reasonText = (error: unknown): string => {
  const code = (error as { code?: unknown }).code;
  return typeof code === 'number' ? `reason ${code}` : codeText(error);
};

/** From 128 on a reason code says that it failed; 151 (quota) and 131 (no reason given) may pass. */
function isRefusal(error: unknown): boolean {
  const code = (error as { code?: unknown }).code;
  return typeof code === 'number' && code >= 128 && code !== 151 && code !== 131;
}

async function goodbye(client: MqttClient, availability: string): Promise<void> {
  const said = client.connected
    ? client.publishAsync(availability, 'offline', { qos: 1, retain: true }).catch(() => undefined)
    : Promise.resolve();
  let timer: NodeJS.Timeout | undefined;
  const patience = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, CLOSE_MS);
  });
  await Promise.race([said, patience]);
  await Promise.race([client.endAsync(true).catch(() => undefined), patience]);
  clearTimeout(timer);
}
