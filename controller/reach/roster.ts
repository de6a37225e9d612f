import { createHash } from 'node:crypto';
import type {
  ChannelConfig,
  ChannelKind,
  PersonConfig,
  QuietHours,
  ReachConfig,
} from '../../shared/wire/reach.ts';
import { maskedAddress, originOf } from '../../shared/wire/reach-recorded.ts';

/** One way to one person, named so that it can stand in logs. */
export interface Channel {
  /** Stays the same while person, kind and address do: proof for an old address is none for a new one. */
  readonly id: string;
  readonly kind: ChannelKind;
  readonly label: string;
  readonly personId: string;
  readonly personName: string;
  readonly config: ChannelConfig;
}

export interface Person {
  readonly id: string;
  readonly name: string;
  readonly quietHours: QuietHours | null;
  readonly channels: readonly Channel[];
}

/** Who can be called, in the order of calling. */
export interface Roster {
  readonly people: readonly Person[];
  readonly channels: ReadonlyMap<string, Channel>;
}

/** People and channels of a checked configuration. */
export function rosterOf(config: ReachConfig): Roster {
  const people = config.people.map((person) => ({
    id: person.id,
    name: person.name,
    quietHours: person.quietHours === 'house' ? config.quietHours : person.quietHours,
    channels: person.channels.map((channel) => channelOf(person, channel)),
  }));
  const channels = new Map(
    people.flatMap((person) => person.channels).map((channel) => [channel.id, channel]),
  );
  return { people, channels };
}

function channelOf(person: PersonConfig, config: ChannelConfig): Channel {
  const print = createHash('sha256').update(JSON.stringify(config)).digest('hex').slice(0, 8);
  return {
    id: `${person.id}:${config.kind}:${print}`,
    kind: config.kind,
    label: `${labelOf(config)} for ${person.name}`,
    personId: person.id,
    personName: person.name,
    config,
  };
}

function labelOf(config: ChannelConfig): string {
  switch (config.kind) {
    case 'push':
      return 'push';
    case 'mqtt':
      return 'MQTT';
    case 'mail':
      return `mail to ${maskedAddress(config.to)}`;
    case 'webhook':
      return `webhook ${originOf(config.url)}`;
  }
}
