import type { ReachConfig } from '../../shared/wire/reach.ts';
import { originOf } from '../../shared/wire/reach-recorded.ts';
import type { DutyAction } from './dispatch.ts';
import type { Edge, EdgeMeans } from './edge/edge.ts';
import { type Beat, sendBeat } from './edge/heartbeat.ts';
import { mailEdge } from './edge/mail.ts';
import { type MqttLink, openMqtt } from './edge/mqtt.ts';
import { pushEdge } from './edge/push.ts';
import { webhookEdge } from './edge/webhook.ts';
import type { PushDesk } from './push-desk.ts';
import type { Channel, Roster } from './roster.ts';
import type { Duty } from './work.ts';

/** All ways out of the house. */
export interface Edges {
  readonly channels: ReadonlyMap<string, Edge>;
  readonly mqtt: MqttLink | null;
  /** Posts a sign of life; null where none is configured. */
  readonly beat: ((beat: Beat, signal: AbortSignal) => ReturnType<DutyAction>) | null;
}

/** Opens the real edges of a configuration. */
export function openEdges(
  config: ReachConfig,
  roster: Roster,
  desk: PushDesk,
  means: EdgeMeans,
  mqttClientId: string,
): Edges {
  const { heartbeat } = config;
  const mqtt = config.mqtt === null ? null : openMqtt(config.mqtt, means, mqttClientId);
  const channels = new Map<string, Edge>();
  for (const channel of roster.channels.values()) {
    const edge = edgeFor(config, channel, desk, mqtt, means);
    if (edge) channels.set(channel.id, edge);
  }
  return {
    channels,
    mqtt,
    beat: heartbeat === null ? null : (beat, signal) => sendBeat(heartbeat, means, beat, signal),
  };
}

function edgeFor(
  config: ReachConfig,
  channel: Channel,
  desk: PushDesk,
  mqtt: MqttLink | null,
  means: EdgeMeans,
): Edge | null {
  const own = channel.config;
  switch (own.kind) {
    case 'push':
      return config.push && pushEdge(desk, channel.personId, config.push.contact, means);
    case 'mail':
      return config.mail && mailEdge(config.mail, own, means);
    case 'webhook':
      return webhookEdge(own, means);
    case 'mqtt':
      return mqtt;
  }
}

export const HEARTBEAT = 'heartbeat';
export const TELEMETRY = 'mqtt';

const CHECK_MS = 15 * 60_000;
const CHECK_AGAIN_MS = 60_000;
const BEAT_AGAIN_MS = 10_000;
/** MQTT keeps its own connection, so asking for it costs nothing. */
const LINK_CHECK_MS = 60_000;

/** What is looked after at intervals: each channel's way, the heartbeat, the broker. */
export function dutiesOf(config: ReachConfig, roster: Roster): ReadonlyMap<string, Duty> {
  const duties = new Map<string, Duty>();
  for (const channel of roster.channels.values()) {
    duties.set(channel.id, {
      label: channel.label,
      everyMs: CHECK_MS,
      againMs: CHECK_AGAIN_MS,
      proves: false,
    });
  }
  if (config.heartbeat !== null) {
    const everyMs = config.heartbeat.everyS * 1000;
    const label = `heartbeat to ${originOf(config.heartbeat.url)}`;
    duties.set(HEARTBEAT, { label, everyMs, againMs: Math.min(everyMs, BEAT_AGAIN_MS), proves: true });
  }
  if (config.mqtt !== null) {
    const label = `MQTT broker ${config.mqtt.host}`;
    duties.set(TELEMETRY, { label, everyMs: LINK_CHECK_MS, againMs: LINK_CHECK_MS / 2, proves: false });
  }
  return duties;
}
