import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type CommandInput, type CommandKind, commandSchema, GUARDED } from '../../shared/wire/command.ts';
import { BathkeeperError, ERRORS, type ErrorCode } from '../../shared/wire/errors.ts';
import type { PlantEventMessage, PlantTruth } from '../../shared/wire/plant.ts';
import { type Answer, type Bed, makeBed, withLimits } from './server-bed.ts';

const BAG = {
  bagId: 'lamb-1',
  label: 'Lamb shoulder',
  cutId: 'lamb-shoulder',
  beta: 0.5,
  thicknessMm: 70,
  massKg: 1.8,
  startC: 5,
};

type Body = Record<string, unknown>;
/** One well-formed body a kind, as a page would send it. */
const BODIES: Record<CommandKind, Body> = {
  'start-cook': { cookId: 'cook-1', name: 'Saturday', setpointC: 65 },
  'set-setpoint': { setpointC: 66 },
  'bag-in': { bag: BAG },
  'edit-bag': { bag: BAG },
  'bag-out': { bagId: 'lamb-1' },
  'core-reading': { bagId: 'lamb-1', celsius: 61.5 },
  'end-chill': { bagId: 'lamb-1', outcome: 'fridge', fridgeC: 3 },
  'bag-lies': { bagId: 'lamb-1', lies: 'afloat' },
  'fork-test': { bagId: 'lamb-1', answer: 'not-yet' },
  'cold-spot': { bagId: 'lamb-1', how: 'lowest of three places' },
  'answer-load': { foodIn: true },
  'stop-heat': {},
  'allow-heat': {},
  acknowledge: { alarmId: 'bath-low' },
  clear: { alarmId: 'over-temperature' },
  'end-cook': {},
  'decide-outage': { bagId: 'lamb-1', choice: 'go-on', name: 'Ada' },
  here: {},
  'topped-up': { litres: 1.5, celsius: 15 },
  'set-attendance': { unattended: false },
  'answer-alarm-test': {},
  shelve: { alarmId: 'bath-low', minutes: 30, reason: 'lid is off for a moment' },
  unshelve: { alarmId: 'bath-low' },
  'out-of-service': { alarmId: 'second-probe-lost', reason: 'probe is broken' },
  'in-service': { alarmId: 'second-probe-lost' },
};

function bodyOf(kind: CommandKind, id = `id-${kind}`): Body {
  return { kind, id, ...BODIES[kind] } satisfies Body as CommandInput & Body;
}

function codeOf(answer: Answer): string | undefined {
  return answer.json<{ error?: { code: string } }>().error?.code;
}

let bed: Bed;
beforeEach(async () => {
  bed = await makeBed();
  bed.hub.commit();
});
afterEach(() => bed.close());

describe('server, commands: the safer direction is open, the riskier one guarded (OWASP ASVS 5.0 V8.2.1)', () => {
  it('takes stop-heat, acknowledge and what brings an alarm back from any phone, and refuses every other kind to an unpaired one', async () => {
    const kinds = commandSchema.options.map((option) => option.shape.kind.value);
    expect(kinds.toSorted()).toEqual(Object.keys(BODIES).toSorted());
    const open: string[] = [];
    for (const kind of kinds) {
      bed.clock.monotonicMs += 1000;
      const answer = await bed.post('/api/command', bodyOf(kind));
      if (answer.status === 200) open.push(kind);
      else expect([kind, answer.status, codeOf(answer)]).toEqual([kind, 401, 'not-paired']);
    }
    expect(open.toSorted()).toEqual(['acknowledge', 'in-service', 'stop-heat', 'unshelve']);
    expect(bed.hub.submitted.map((command) => command.kind).toSorted()).toEqual(open.toSorted());
    expect([...GUARDED].length + open.length).toBe(kinds.length);
  });

  it('names the way to pair with each 401, as RFC 9110 section 15.5.2 wants it', async () => {
    const answer = await bed.post('/api/command', bodyOf('allow-heat'));
    expect(answer.headers['www-authenticate']).toBe('PairingCode realm="bathkeeper"');
  });

  it('takes every kind from a paired phone and answers with what the tick decided', async () => {
    const cookie = await bed.pair();
    for (const kind of commandSchema.options.map((option) => option.shape.kind.value)) {
      bed.clock.monotonicMs += 1000;
      const answer = await bed.post('/api/command', bodyOf(kind), cookie);
      expect([kind, answer.status]).toEqual([kind, 200]);
      expect(answer.json()).toEqual({ id: `id-${kind}`, accepted: true, code: null, detail: null });
    }
  });

  it('fills in who gave the command, and lets nobody speak for another (V15.3.3)', async () => {
    const cookie = await bed.pair('Warden');
    await bed.post('/api/command', { ...bodyOf('stop-heat'), by: 'Somebody else' }, cookie);
    await bed.post('/api/command', { ...bodyOf('stop-heat'), by: 'Somebody else' });
    expect(bed.hub.submitted.map((command) => command.by)).toEqual(['Warden', 'unpaired phone']);
  });

  it('takes no cookie that it did not give', async () => {
    for (const cookie of ['bathkeeper_phone=', 'bathkeeper_phone=x', `bathkeeper_phone=${'A'.repeat(43)}`]) {
      expect((await bed.post('/api/command', bodyOf('allow-heat'), cookie)).status).toBe(401);
    }
  });

  it('answers a refused command with the HTTP status, cause and action of its code', async () => {
    const cookie = await bed.pair();
    for (const code of ['setpoint-low', 'cook-running', 'bag-unknown', 'alarm-active'] as ErrorCode[]) {
      bed.clock.monotonicMs += 1000;
      bed.hub.answer = async ({ id }) => ({ id, accepted: false, code, detail: 'Seen 55 °C.' });
      const answer = await bed.post('/api/command', bodyOf('set-setpoint'), cookie);
      const { cause, action, http } = ERRORS[code];
      expect(answer.status).toBe(http);
      expect(answer.json()).toEqual({ error: { code, cause, action, detail: 'Seen 55 °C.' } });
    }
  });

  it('answers only once the hub has said that the command is on disk', async () => {
    let commit = (): void => {};
    bed.hub.answer = ({ id }) =>
      new Promise((resolve) => {
        commit = () => resolve({ id, accepted: true, code: null, detail: null });
      });
    let answered = false;
    const answer = bed.post('/api/command', bodyOf('stop-heat')).then((given) => {
      answered = true;
      return given;
    });
    while (bed.hub.submitted.length === 0) await new Promise((resolve) => setImmediate(resolve));
    expect((await bed.ask({ path: '/api/cooks' })).status).toBe(200);
    expect(answered).toBe(false);
    commit();
    expect((await answer).status).toBe(200);
  });

  it('passes on why the hub could not take a command, and says nothing of what broke inside', async () => {
    bed.hub.answer = () => Promise.reject(new BathkeeperError('journal-failed', 'disk full'));
    const full = await bed.post('/api/command', bodyOf('stop-heat'));
    expect([full.status, codeOf(full)]).toEqual([503, 'journal-failed']);
    bed.hub.answer = () => Promise.reject(new TypeError('secret at /home/hut/controller.ts:12'));
    const broken = await bed.post('/api/command', bodyOf('stop-heat'));
    expect([broken.status, codeOf(broken)]).toEqual([500, 'internal']);
    expect(broken.text).not.toContain('secret');
    expect(bed.log.some((line) => line.includes('fault=request') && line.includes('secret'))).toBe(true);
  });

  it('writes who gave which command from where, and what became of it (V16.2.1, V16.3.2)', async () => {
    const cookie = await bed.pair('Warden');
    await bed.post('/api/command', bodyOf('set-setpoint'), cookie);
    await bed.post('/api/command', bodyOf('set-setpoint'));
    const lines = bed.log.filter((line) => line.includes('did=set-setpoint'));
    expect(lines).toHaveLength(2);
    const start = /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z did=set-setpoint from=127\.0\.0\.1 /;
    for (const line of lines) expect(line).toMatch(start);
    expect(lines[0]).toMatch(/who="Warden" outcome=accepted detail=".*66.*"$/);
    expect(lines[1]).toMatch(/who="unpaired phone" outcome=not-paired$/);
  });

  it('writes neither code nor token into the log (V16.2.5)', async () => {
    const code = bed.pairing.code();
    const cookie = await bed.pair('Warden');
    await bed.post('/api/command', bodyOf('stop-heat'), cookie);
    const text = bed.log.join('\n');
    expect(text).not.toContain(code);
    expect(text).not.toContain(cookie.split('=')[1]);
  });
});

describe('server, bad input gets a clear error (OWASP ASVS 5.0 V2.2)', () => {
  const cases: [string, unknown, RegExp][] = [
    ['no object', [], /object/],
    ['null', null, /object/],
    ['an unknown kind', { kind: 'boil', id: 'x' }, /kind/],
    ['a missing field', { kind: 'set-setpoint', id: 'x' }, /setpointC/],
    ['a setpoint above boiling', { kind: 'set-setpoint', id: 'x', setpointC: 120 }, /setpointC.*92/],
    ['a number as text', { kind: 'set-setpoint', id: 'x', setpointC: '65' }, /setpointC/],
    ['an id with markup', { kind: 'stop-heat', id: '<b>' }, /id/],
    [
      'a bag of no thickness',
      { kind: 'bag-in', id: 'x', bag: { ...BAG, thicknessMm: 0 } },
      /bag\.thicknessMm/,
    ],
  ];
  for (const [name, body, detail] of cases) {
    it(`refuses ${name} and names the field`, async () => {
      const answer = await bed.post('/api/command', body, await bed.pair());
      expect([answer.status, codeOf(answer)]).toEqual([400, 'bad-request']);
      expect(answer.json<{ error: { detail: string } }>().error.detail).toMatch(detail);
      expect(bed.hub.submitted).toEqual([]);
    });
  }

  it('refuses a body that is no JSON, and one that reaches for a prototype (V15.3.6)', async () => {
    const bodies = ['{', '', '{"kind":"stop-heat","id":"x","__proto__":{"by":"x"}}'];
    for (const body of bodies) {
      const headers = { origin: bed.origin, 'content-type': 'application/json' };
      const answer = await bed.ask({ method: 'POST', path: '/api/command', headers, body });
      expect([body, answer.status, codeOf(answer)]).toEqual([body, 400, 'bad-request']);
    }
  });

  it('answers every error with code, cause, action and detail, of the registry only', async () => {
    const answers = [
      await bed.ask({ path: '/nothing' }),
      await bed.ask({ path: '/api/command' }),
      await bed.ask({ path: '/%E0%A4%A' }),
      await bed.ask({ path: `/api/cooks/${'x'.repeat(300)}/export.csv` }),
      await bed.ask({ method: 'TRACE', path: '/', headers: { origin: bed.origin } }),
      await bed.post('/api/command', bodyOf('allow-heat')),
    ];
    for (const answer of answers) {
      const { error } = answer.json<{ error: Record<string, string> }>();
      expect(Object.keys(error).toSorted()).toEqual(['action', 'cause', 'code', 'detail']);
      expect(ERRORS[error.code as ErrorCode]?.cause).toBe(error.cause);
      expect(answer.status).toBe(ERRORS[error.code as ErrorCode].http);
      expect(answer.headers['content-type']).toBe('application/json; charset=utf-8');
    }
  });
});

describe('server, the developer panel of a simulated rig', () => {
  const truth = { waterC: 64, bags: [] } as unknown as PlantTruth;

  it('is refused on a real rig, for looking and for doing, paired or not', async () => {
    const cookie = await bed.pair();
    for (const answer of [
      await bed.ask({ path: '/api/plant' }),
      await bed.post('/api/plant', { kind: 'lid', on: false }, cookie),
      await bed.post('/api/plant', { kind: 'lid', on: false }),
    ]) {
      expect([answer.status, codeOf(answer)]).toEqual([403, 'simulated-only']);
    }
  });

  it('shows the truth to all, and lets only a paired phone change it', async () => {
    const applied: PlantEventMessage[] = [];
    bed.hub.plant = { apply: (event) => applied.push(event), truth: () => truth };
    expect((await bed.ask({ path: '/api/plant' })).json()).toEqual(truth);
    expect((await bed.post('/api/plant', { kind: 'lid', on: false })).status).toBe(401);
    const cookie = await bed.pair();
    expect((await bed.post('/api/plant', { kind: 'lid', on: 'off' }, cookie)).status).toBe(400);
    expect((await bed.post('/api/plant', { kind: 'lid', on: false }, cookie)).status).toBe(200);
    expect(applied).toEqual([{ kind: 'lid', on: false }]);
  });
});

describe('server, a command that is not taken in', () => {
  it('is answered as not answering when its time is over', async () => {
    await bed.close();
    bed = await makeBed({ limits: withLimits({ commandMs: 30 }) });
    bed.hub.answer = () => new Promise(() => {});
    const answer = await bed.post('/api/command', bodyOf('stop-heat'));
    expect([answer.status, codeOf(answer)]).toEqual([503, 'not-answering']);
    expect(answer.json<{ error: { action: string } }>().error.action).toMatch(/plug/);
  });
});
