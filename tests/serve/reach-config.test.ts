import { describe, expect, it } from 'vitest';
import { rosterOf } from '../../controller/reach/roster.ts';
import { issueLines } from '../../shared/wire/config.ts';
import { reachSchema } from '../../shared/wire/reach.ts';
import { recordedReach } from '../../shared/wire/reach-recorded.ts';
import { HUT } from './reach-bench.ts';

const faults = (value: unknown): string[] => {
  const parsed = reachSchema.safeParse(value);
  return parsed.success ? [] : issueLines(parsed.error);
};
const one = (channels: unknown[], more: object = {}) => ({
  ...HUT,
  people: [{ id: 'cook', name: 'Cook', channels, ...more }],
});

describe('the section reach', () => {
  it('is complete by its defaults: nobody is called, nothing leaves the house', () => {
    expect(reachSchema.parse(undefined)).toEqual({
      people: [],
      timeZone: null,
      quietHours: null,
      escalateAfterMin: { high: 3, medium: 15, low: null },
      reannounceAfterMin: { high: 10, medium: 60, low: null },
      silenceMin: 5,
      tellWhenOver: true,
      pageUrl: null,
      caFile: null,
      mail: null,
      mqtt: null,
      push: null,
      heartbeat: null,
    });
    expect(reachSchema.parse(HUT).mail).toMatchObject({ tls: 'starttls', port: null, user: null });
  });

  it('never lets calling for high priority be switched off or put off beyond the hour', () => {
    expect(faults({ escalateAfterMin: { high: null } })).toHaveLength(1);
    expect(faults({ escalateAfterMin: { high: 31 } })).toHaveLength(1);
    expect(faults({ reannounceAfterMin: { high: null } })).toHaveLength(1);
    expect(faults({ silenceMin: 16 })).toHaveLength(1);
  });

  it('lists every fault at once, those of form and those between parts', () => {
    const lines = faults({
      people: [
        { id: 'cook', name: 'Cook', channels: [{ kind: 'mqtt' }, { kind: 'mail', to: 'nobody' }] },
        { id: 'cook', name: '', channels: [] },
      ],
      timeZone: 'Europe/Nowhere',
      quietHours: { from: '22:00', to: '22:00' },
      mail: { host: 'mail.example', from: 'bath@hut.example', tls: 'none', user: 'bath' },
      mqttt: {},
    });
    const places = lines.map((line) => line.slice(0, line.indexOf(':'))).sort();
    expect(places).toEqual(
      [
        'mail.password',
        'mail.tls',
        'people.0.channels.0',
        'people.0.channels.1.to',
        'people.1.channels',
        'people.1.id',
        'people.1.name',
        'quietHours',
        'the whole document',
        'timeZone',
      ].sort(),
    );
  });

  it('takes no secret itself, only where it lies, and says so', () => {
    const hook = (secret: unknown) => one([{ kind: 'webhook', url: 'https://valley.example/x', secret }]);
    expect(faults(hook('hunter2'))[0]).toContain('secrets never stand in the configuration itself');
    expect(faults(hook({ file: '/etc/bathkeeper/hook' }))).toEqual([]);
    expect(faults(hook({ env: 'HOOK SECRET' }))).toHaveLength(1);
  });

  it('refuses addresses with a password in them, other schemes and what is no address', () => {
    const hook = (url: unknown) => faults(one([{ kind: 'webhook', url, secret: { env: 'HOOK' } }]));
    for (const url of [
      'https://a:b@valley.example/',
      'ftp://valley.example/',
      'file:///etc/passwd',
      'valley',
    ]) {
      expect(hook(url)[0]).toContain('expected an http or https address');
    }
    expect(hook('http://127.0.0.1:9/x')).toEqual([]);
    expect(hook({ file: '/etc/bathkeeper/hook-address' })).toEqual([]);
  });

  it('refuses control characters wherever text ends up in the head of a mail', () => {
    expect(faults(one([{ kind: 'push' }], { name: 'Cook\r\nBcc: all@valley.example' }))).toHaveLength(1);
    expect(
      faults({ mail: { host: 'mail.example', from: 'bath@hut.example\r\nBcc: x@y.example' } }),
    ).not.toEqual([]);
  });

  it('names what sends a password in the clear, a channel whose section is missing, one that stands twice', () => {
    const mqtt = { host: 'broker.example', user: 'bath', password: { env: 'BROKER' }, tls: false };
    expect(faults({ mqtt })[0]).toContain('mqtt.tls');
    expect(faults({ mqtt: { ...mqtt, host: '127.0.0.1' } })).toEqual([]);
    expect(faults({ mqtt: { ...mqtt, tls: true, expireS: 10 } })[0]).toContain('mqtt.expireS');
    expect(faults(one([{ kind: 'mqtt' }]))[0]).toContain('needs the section reach.mqtt');
    expect(faults(one([{ kind: 'push' }, { kind: 'push' }]))[0]).toContain('stands there twice');
  });
});

describe('the names of channels', () => {
  it('hold neither the whole mail address nor the path of a webhook, which may be its only secret', () => {
    const { channels } = rosterOf(reachSchema.parse(HUT));
    const text = JSON.stringify([...channels.values()].map(({ id, label }) => ({ id, label })));
    expect(text).toContain('mail to c…@hut.example');
    expect(text).toContain('webhook https://valley.example for Warden');
    expect(text).not.toContain('cook@hut');
    expect(text).not.toContain('/hook/abc');
  });

  it('change with the address, so that proof for an old address is none for a new one', () => {
    const idOf = (to: string) =>
      [...rosterOf(reachSchema.parse(one([{ kind: 'mail', to }]))).channels.keys()][0];
    expect(idOf('a@hut.example')).not.toBe(idOf('b@hut.example'));
    expect(idOf('a@hut.example')).toBe(idOf('a@hut.example'));
  });
});

describe('what the record of a cook may keep', () => {
  it('says who is called by what, and has no whole address and no login in it', () => {
    const config = reachSchema.parse({
      ...HUT,
      mail: { ...HUT.mail, user: 'bath-login', password: { env: 'MAIL' } },
      mqtt: { host: 'broker.example', user: 'broker-login', password: { env: 'BROKER' } },
      heartbeat: { url: 'https://watch.example/ping/abc-capability' },
    });
    const text = JSON.stringify(recordedReach(config));
    for (const word of ['cook@hut', 'bath@hut', 'warden@hut', '/hook/abc', 'abc-capability', '-login']) {
      expect(text).not.toContain(word);
    }
    for (const word of ['Night cook', 'c…@hut.example', 'https://valley.example', 'escalateAfterMin']) {
      expect(text).toContain(word);
    }
    expect(recordedReach(reachSchema.parse({}))).toEqual(reachSchema.parse({}));
  });
});
