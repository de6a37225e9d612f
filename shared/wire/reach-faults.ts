/** A fault between parts of the section `reach`, each of which may be well formed by itself. */
export interface ReachFault {
  readonly path: (string | number)[];
  readonly message: string;
}

/**
 * What contradicts itself in a section `reach`. Takes anything, because it also looks at what is at fault in its form;
 * what it cannot make out it leaves to the schema.
 */
export function reachFaults(value: unknown): ReachFault[] {
  const reach = record(value);
  return [
    ...peopleFaults(reach),
    ...quietFaults(reach.quietHours, ['quietHours']),
    ...mailFaults(record(reach.mail)),
    ...mqttFaults(record(reach.mqtt)),
  ];
}

const record = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {};
const list = (value: unknown): unknown[] => (Array.isArray(value) ? value : []);

/** The section that a kind of channel goes through; the others need none. */
const SECTION_OF: Readonly<Record<string, string>> = { mail: 'mail', mqtt: 'mqtt', push: 'push' };

function peopleFaults(reach: Record<string, unknown>): ReachFault[] {
  const faults: ReachFault[] = [];
  const seen = new Set<unknown>();
  list(reach.people).forEach((one, index) => {
    const person = record(one);
    const path = ['people', index];
    if (typeof person.id === 'string' && seen.has(person.id)) {
      faults.push({ path: [...path, 'id'], message: `"${person.id}" stands for somebody else already` });
    }
    seen.add(person.id);
    faults.push(...quietFaults(person.quietHours, [...path, 'quietHours']));
    faults.push(...channelFaults(reach, list(person.channels), [...path, 'channels']));
  });
  return faults;
}

function channelFaults(
  reach: Record<string, unknown>,
  channels: readonly unknown[],
  path: readonly (string | number)[],
): ReachFault[] {
  const faults: ReachFault[] = [];
  const seen = new Set<string>();
  channels.forEach((channel, index) => {
    const at = [...path, index];
    const key = JSON.stringify(channel);
    if (seen.has(key)) faults.push({ path: at, message: 'the same channel stands there twice' });
    seen.add(key);
    const section = SECTION_OF[String(record(channel).kind)];
    if (section !== undefined && (reach[section] ?? null) === null) {
      faults.push({ path: at, message: `needs the section reach.${section}, which is not there` });
    }
  });
  return faults;
}

function quietFaults(value: unknown, path: (string | number)[]): ReachFault[] {
  const hours = record(value);
  if (typeof hours.from !== 'string' || hours.from !== hours.to) return [];
  return [
    { path, message: `begin and end at ${hours.from}: expected two different times, or null for none` },
  ];
}

function mailFaults(mail: Record<string, unknown>): ReachFault[] {
  const faults = loginFaults(mail, 'mail');
  if (mail.tls === 'none' && (mail.user ?? null) !== null) {
    faults.push({
      path: ['mail', 'tls'],
      message: '"none" would send the password in the clear: expected "implicit" or "starttls", or no user',
    });
  }
  return faults;
}

function mqttFaults(mqtt: Record<string, unknown>): ReachFault[] {
  const faults = loginFaults(mqtt, 'mqtt');
  if (mqtt.tls === false && (mqtt.password ?? null) !== null && !isLoopback(mqtt.host)) {
    faults.push({
      path: ['mqtt', 'tls'],
      message:
        'false would send the password in the clear: expected true, a broker on this machine, or no password',
    });
  }
  const { telemetryEveryS: every, expireS: expire } = mqtt;
  if (typeof every === 'number' && typeof expire === 'number' && expire <= every) {
    faults.push({
      path: ['mqtt', 'expireS'],
      message: `${expire} s is not longer than telemetryEveryS (${every} s): each value would be gone before the next`,
    });
  }
  return faults;
}

function loginFaults(section: Record<string, unknown>, name: string): ReachFault[] {
  const user = (section.user ?? null) !== null;
  const password = (section.password ?? null) !== null;
  if (user === password) return [];
  const missing = user ? 'password' : 'user';
  return [
    { path: [name, missing], message: `expected with the ${user ? 'user' : 'password'}: both or neither` },
  ];
}

const isLoopback = (host: unknown): boolean =>
  host === 'localhost' || host === '::1' || (typeof host === 'string' && /^127\.\d+\.\d+\.\d+$/.test(host));
