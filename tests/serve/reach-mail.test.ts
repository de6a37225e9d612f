import { SMTPServer, type SMTPServerOptions } from 'smtp-server';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { mailEdge } from '../../controller/reach/edge/mail.ts';
import type { Outcome } from '../../controller/reach/work.ts';
import { type MailConfig, reachSchema } from '../../shared/wire/reach.ts';
import {
  type Certificate,
  deadPort,
  HERE,
  listen,
  makeCertificates,
  means,
  message,
  patience,
  rawBed,
} from './reach-servers.ts';

const PASSWORD = 'pass word of the hut';
const TO = { kind: 'mail', to: 'cook@hut.example' } as const;
let certificates: Awaited<ReturnType<typeof makeCertificates>>;
const open: { close(): Promise<void> }[] = [];

beforeAll(async () => {
  certificates = await makeCertificates();
});
afterEach(async () => {
  vi.useRealTimers();
  for (const one of open.splice(0)) await one.close();
});
afterAll(() => certificates.remove());

interface Mail {
  readonly secure: boolean;
  readonly from: string;
  readonly to: string[];
  readonly user: string;
  readonly text: string;
}

/** A real SMTP server that keeps what it takes. */
async function smtpBed(
  options: SMTPServerOptions = {},
  certificate: Certificate = certificates.good,
): Promise<{ port: number; mails: Mail[] }> {
  const mails: Mail[] = [];
  const smtp = new SMTPServer({
    key: certificate.key,
    cert: certificate.cert,
    authOptional: true,
    disableReverseLookup: true,
    onAuth: ({ username, password }, _session, done) =>
      username === 'bath' && password === PASSWORD
        ? done(null, { user: username })
        : done(new Error(`no entry for ${password}`)),
    onData(stream, session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk: Buffer) => chunks.push(chunk));
      stream.on('end', () => {
        const { mailFrom, rcptTo } = session.envelope;
        mails.push({
          secure: session.secure,
          from: mailFrom ? mailFrom.address : '',
          to: rcptTo.map((one) => one.address),
          user: String(session.user ?? ''),
          text: Buffer.concat(chunks).toString('utf8'),
        });
        done();
      });
    },
    ...options,
  });
  smtp.on('error', () => undefined);
  open.push({ close: () => new Promise((resolve) => smtp.close(() => resolve())) });
  return { port: await listen(smtp.server), mails };
}

const server = (port: number, more: object = {}): MailConfig => {
  const mail = { host: HERE, port, tls: 'starttls', from: 'bath@hut.example', ...more };
  return reachSchema.parse({ mail }).mail!;
};
const LOGIN = { user: 'bath', password: { env: 'MAIL' } };
const edge = (mail: MailConfig, more: Parameters<typeof means>[0] = {}) =>
  mailEdge(mail, TO, means({ caFile: certificates.caFile, env: { MAIL: PASSWORD }, ...more }));
const send = (mail: MailConfig, more: Parameters<typeof means>[0] = {}): Promise<Outcome> =>
  edge(mail, more).send(message(), patience());

const error = (text: string, responseCode: number): Error => Object.assign(new Error(text), { responseCode });

describe('mail', () => {
  it('goes to the person, in clear words, with the login, once the connection is encrypted (STARTTLS)', async () => {
    const smtp = await smtpBed();
    expect(await send(server(smtp.port, LOGIN))).toEqual({
      ok: true,
      detail: 'the mail server took it (250)',
    });
    expect(smtp.mails).toHaveLength(1);
    expect(smtp.mails[0]).toMatchObject({
      secure: true,
      from: 'bath@hut.example',
      to: ['cook@hut.example'],
      user: 'bath',
    });
    const text = smtp.mails[0]?.text ?? '';
    expect(text).toMatch(/^Subject: HIGH: Water probe lost - Hut kitchen\r$/m);
    expect(text).toMatch(/^To: "?Night cook"? <cook@hut.example>\r$/m);
    expect(text).toMatch(/^Auto-Submitted: auto-generated\r$/m); // RFC 3834
    expect(text).toMatch(/^Date: Wed, 25 Nov 2026 01:00:00 \+0000\r$/m);
    expect(text).toContain('Measure the water by hand.');
  });

  it('goes by a connection encrypted from its start (implicit TLS)', async () => {
    const smtp = await smtpBed({ secure: true });
    expect(await send(server(smtp.port, { ...LOGIN, tls: 'implicit' }))).toMatchObject({ ok: true });
    expect(smtp.mails[0]).toMatchObject({ secure: true, user: 'bath' });
  });

  it('goes without encryption only where the configuration says so', async () => {
    const smtp = await smtpBed({ disabledCommands: ['STARTTLS', 'AUTH'] });
    expect(await send(server(smtp.port))).toMatchObject({ ok: false, at: 'connect' });
    expect(await send(server(smtp.port, LOGIN))).toMatchObject({ ok: false });
    expect(smtp.mails).toEqual([]);
    expect(await send(server(smtp.port, { tls: 'none' }))).toMatchObject({ ok: true });
    expect(smtp.mails[0]).toMatchObject({ secure: false, user: '' });
  });

  it('keeps its Message-ID over every attempt, so that a mailbox can tell a repetition', async () => {
    const smtp = await smtpBed();
    await send(server(smtp.port));
    await send(server(smtp.port));
    const ids = smtp.mails.map((mail) => /^Message-ID: (.*)\r$/m.exec(mail.text)?.[1]);
    expect(ids).toEqual([`<${message().key}@hut.example>`, `<${message().key}@hut.example>`]);
  });

  it('does not let a name or a title put lines into the head', async () => {
    const smtp = await smtpBed();
    const evil = message({
      subject: 'HIGH\r\nBcc: all@valley.example',
      person: { id: 'cook', name: 'Cook\r\nBcc: all@valley.example' },
    });
    await edge(server(smtp.port)).send(evil, patience());
    expect(smtp.mails[0]?.to).toEqual(['cook@hut.example']);
    expect(smtp.mails[0]?.text).not.toMatch(/^Bcc:/m);
  });

  it('that the server refuses for good is not tried again; one refused for now is (RFC 5321, 4.2.1)', async () => {
    const refusing = (code: number, text: string) =>
      smtpBed({ onRcptTo: (_address, _session, done) => done(error(text, code)) });
    const gone = await send(server((await refusing(550, '5.1.1 no cook@hut.example here')).port));
    expect(gone).toMatchObject({ ok: false, permanent: true, at: 'answer' });
    expect(gone).toMatchObject({ why: 'the mail server refused the message (550 5.1.1)' });
    const later = await send(server((await refusing(451, '4.7.1 greylisted')).port));
    expect(later).toMatchObject({ ok: false, permanent: false, at: 'answer' });
  });

  it('that is refused after it was sent has not been taken', async () => {
    const smtp = await smtpBed({
      onData(stream, _session, done) {
        stream.resume();
        stream.on('end', () => done(error('4.3.1 disk full', 452)));
      },
    });
    expect(await send(server(smtp.port))).toMatchObject({ ok: false, permanent: false, at: 'answer' });
  });

  it('with a wrong password fails and says so, without the password and without what the server said of it', async () => {
    const smtp = await smtpBed();
    const end = await send(server(smtp.port, LOGIN), { env: { MAIL: 'hunter2' } });
    expect(end).toMatchObject({ ok: false, permanent: true, at: 'answer' });
    expect(JSON.stringify(end)).toContain('refused the login (535');
    expect(JSON.stringify(end)).not.toContain('hunter2');
  });

  it('whose password is missing fails and says where it should be', async () => {
    const smtp = await smtpBed();
    const end = await send(server(smtp.port, LOGIN), { env: {} });
    expect(end).toMatchObject({ ok: false, permanent: true });
    expect(JSON.stringify(end)).toContain('environment variable MAIL');
  });

  it('gives nothing to a server whose certificate is of another name or of an unknown issuer', async () => {
    for (const certificate of [certificates.otherName, certificates.untrusted]) {
      for (const tls of ['starttls', 'implicit'] as const) {
        const smtp = await smtpBed({ secure: tls === 'implicit' }, certificate);
        const end = await send(server(smtp.port, { ...LOGIN, tls }));
        expect(end, tls).toMatchObject({ ok: false, at: 'connect' });
        expect(smtp.mails).toEqual([]);
      }
    }
  });

  it('is given up where the server hangs: before its greeting, after it, or at the last word', async () => {
    const silent = await rawBed(() => undefined);
    const greets = await rawBed((socket) => socket.write('220 mail.example ESMTP\r\n'));
    open.push(silent, greets);
    const over = { ok: false, permanent: false, why: 'the mail server took longer than 0.2 s' };
    expect(await send(server(silent.port), { timeoutMs: 200 })).toMatchObject(over);
    expect(await send(server(greets.port), { timeoutMs: 200 })).toMatchObject(over);
    const last = await smtpBed({ onData: (stream) => void stream.resume() });
    expect(await send(server(last.port), { timeoutMs: 1000 })).toMatchObject({
      ...over,
      why: 'the mail server took longer than 1 s',
    });
  });

  it('is given up, and the line closed, where the server keeps it busy with a word now and then', async () => {
    let closed = 0;
    let heard = (): void => undefined;
    const drips = await rawBed((socket) => {
      socket.write('220 mail.example\r\n');
      const timer = setInterval(() => asked && socket.write('250-still here\r\n'), 20);
      let asked = false;
      socket.on('data', () => {
        asked = true;
        heard();
      });
      socket.on('close', () => {
        clearInterval(timer);
        closed += 1;
      });
    });
    open.push(drips);
    const busy = edge(server(drips.port), { timeoutMs: 300 });
    const over = {
      ok: false,
      permanent: false,
      at: 'answer',
      why: 'the mail server took longer than 0.3 s',
    };
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
    for (const doIt of [() => busy.send(message(), patience()), () => busy.check(patience())]) {
      const connected = new Promise<void>((resolve) => {
        heard = resolve;
      });
      const end = doIt();
      await connected;
      vi.advanceTimersByTime(300);
      expect(await end).toMatchObject(over);
    }
    vi.useRealTimers();
    while (closed < 2) await new Promise((resolve) => setTimeout(resolve, 10));
  });

  it('that breaks off at the last word has not been taken', async () => {
    const words = ['250 mail.example', '250 2.1.0 ok', '250 2.1.5 ok', '354 go on'];
    const cuts = await rawBed((socket) => {
      socket.write('220 mail.example ESMTP\r\n');
      socket.on('data', (chunk) => {
        const next = words.shift();
        if (next) socket.write(`${next}\r\n`);
        else if (String(chunk).endsWith('\r\n.\r\n')) socket.destroy();
      });
    });
    open.push(cuts);
    expect(await send(server(cuts.port, { tls: 'none' }))).toMatchObject({ ok: false, permanent: false });
    expect(words).toEqual([]);
  });

  it('to a server that is not there cannot be sent', async () => {
    expect(await send(server(await deadPort()))).toMatchObject({
      ok: false,
      permanent: false,
      at: 'connect',
    });
  });

  it('ends at once when the plan gives it up', async () => {
    const silent = await rawBed(() => undefined);
    open.push(silent);
    const stop = new AbortController();
    const end = edge(server(silent.port)).send(message(), stop.signal);
    stop.abort();
    expect(await end).toMatchObject({ ok: false });
  });

  it('counts as taken by a server that takes it and drops it: only an answer of a person tells the difference', async () => {
    // The limit of what mail can prove; what follows from it is that nobody acknowledges, and others are called.
    const liar = await smtpBed({
      onData(stream, _session, done) {
        stream.resume();
        stream.on('end', () => done());
      },
    });
    expect(await send(server(liar.port))).toMatchObject({ ok: true });
    expect(liar.mails).toEqual([]);
  });
});

describe('the way to the mail server', () => {
  it('is tried up to the login, without a mail', async () => {
    const smtp = await smtpBed();
    const good = await edge(server(smtp.port, LOGIN)).check(patience());
    expect(good).toEqual({ ok: true, detail: 'the mail server can be reached and takes the login' });
    const wrong = await edge(server(smtp.port, LOGIN), { env: { MAIL: 'hunter2' } }).check(patience());
    expect(wrong).toMatchObject({ ok: false, permanent: true });
    const gone = await edge(server(await deadPort(), LOGIN)).check(patience());
    expect(gone).toMatchObject({ ok: false, at: 'connect' });
    expect(smtp.mails).toEqual([]);
  });
});
