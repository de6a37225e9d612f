import type { ChannelConfig, ReachConfig, SecretRef } from './reach.ts';

/** Enough of a mail address to know it again, not enough to write to it. */
export function maskedAddress(address: string): string {
  return `${address.slice(0, 1)}…${address.slice(address.lastIndexOf('@'))}`;
}

/** The part of an address that is no secret; path and query may be. */
export function originOf(url: string | SecretRef): string {
  return typeof url === 'string' ? new URL(url).origin : '(address kept secret)';
}

/**
 * The section as it may stand in the record of a cook, which is exported and shown to others: who is called by what,
 * without whole addresses.
 */
export function recordedReach(config: ReachConfig): ReachConfig {
  const { heartbeat, mail, push } = config;
  return {
    ...config,
    people: config.people.map((person) => ({ ...person, channels: person.channels.map(recordedChannel) })),
    mail: mail && { ...mail, from: maskedAddress(mail.from), user: mail.user && '…' },
    mqtt: config.mqtt && { ...config.mqtt, user: config.mqtt.user && '…' },
    push: push && { contact: '…' },
    heartbeat: heartbeat && { ...heartbeat, url: originOf(heartbeat.url) },
  };
}

function recordedChannel(channel: ChannelConfig): ChannelConfig {
  if (channel.kind === 'mail') return { ...channel, to: maskedAddress(channel.to) };
  if (channel.kind === 'webhook') return { ...channel, url: originOf(channel.url) };
  return channel;
}
