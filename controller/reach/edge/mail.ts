import { Socket } from 'node:net';
import { createTransport, type Transporter } from 'nodemailer';
import type { ChannelConfig, MailConfig } from '../../../shared/wire/reach.ts';
import type { Message } from '../../../shared/wire/reach-view.ts';
import type { Outcome } from '../work.ts';
import {
  codeText,
  connectionText,
  type Edge,
  type EdgeMeans,
  guarded,
  refused,
  unreachable,
} from './edge.ts';

const PORTS = { implicit: 465, starttls: 587, none: 25 } as const;
const WHO = 'the mail server';

/** Sends mail by SMTP. What a server accepts, it may still lose, delay or sort away: see README.md. */
export function mailEdge(
  server: MailConfig,
  config: ChannelConfig & { kind: 'mail' },
  means: EdgeMeans,
): Edge {
  return {
    send: (message, signal) =>
      attempt(server, means, signal, async (transport) => {
        const info: { response?: string | undefined } = await transport.sendMail(
          mailOf(message, server.from, config.to),
        );
        return `${WHO} took it (${replyCodes(info.response ?? '')})`;
      }),
    check: (signal) =>
      attempt(server, means, signal, async (transport) => {
        await transport.verify();
        return `${WHO} can be reached${server.user === null ? '' : ' and takes the login'}`;
      }),
  };
}

/** One connection, for no longer than the time allows: a server that keeps it busy with words does not keep it. */
function attempt(
  server: MailConfig,
  means: EdgeMeans,
  signal: AbortSignal,
  doIt: (transport: Transporter) => Promise<string>,
): Promise<Outcome> {
  return guarded(async () => {
    const socket = new Socket();
    let connected = false;
    socket.once('connect', () => {
      connected = true;
    });
    const transport = await transportFor(server, means, socket);
    let over: string | null = null;
    let end = (_why: string): void => undefined;
    const isOver = new Promise<never>((_resolve, reject) => {
      end = (why) => {
        over ??= why;
        reject(new Error(over));
      };
    });
    const onAbort = (): void => end('given up');
    const timer = setTimeout(
      () => end(`${WHO} took longer than ${means.timeoutMs / 1000} s`),
      means.timeoutMs,
    );
    if (signal.aborted) onAbort();
    else signal.addEventListener('abort', onAbort, { once: true });
    try {
      return { ok: true, detail: await Promise.race([doIt(transport), isOver]) };
    } catch (error) {
      if (over === null) return outcomeOfError(error);
      return connected ? refused(over, false) : unreachable(over);
    } finally {
      clearTimeout(timer);
      signal.removeEventListener('abort', onAbort);
      socket.destroy();
      transport.close();
    }
  });
}

async function transportFor(server: MailConfig, means: EdgeMeans, socket: Socket): Promise<Transporter> {
  const ca = await means.ca();
  const pass = server.password === null ? null : await means.secret(server.password);
  // The library's own limits tell of a server that nobody can reach, whichever of them it was: ours must come first.
  const longerMs = 2 * means.timeoutMs;
  return createTransport({
    host: server.host,
    port: server.port ?? PORTS[server.tls],
    socket,
    secure: server.tls === 'implicit',
    requireTLS: server.tls === 'starttls',
    ignoreTLS: server.tls === 'none',
    ...(server.user !== null && pass !== null && { auth: { user: server.user, pass }, forceAuth: true }),
    tls: { minVersion: 'TLSv1.2', ...(ca && { ca: [...ca] }) },
    connectionTimeout: longerMs,
    greetingTimeout: longerMs,
    socketTimeout: longerMs,
    dnsTimeout: longerMs,
    disableFileAccess: true,
    disableUrlAccess: true,
  });
}

function mailOf(message: Message, from: string, to: string) {
  return {
    from: { name: 'Bathkeeper', address: from },
    to: { name: message.person.name, address: to },
    subject: message.subject,
    text: message.text,
    // The same for every attempt: a mailbox that got it twice shows it once.
    messageId: `<${message.key}@${from.slice(from.lastIndexOf('@') + 1)}>`,
    date: new Date(message.written),
    priority: message.priority === 'high' ? ('high' as const) : ('normal' as const),
    // RFC 3834: no holiday notices in answer to this.
    headers: { 'Auto-Submitted': 'auto-generated' },
  };
}

/** Reply code and enhanced status code (RFC 3463) of a server's answer; none of its words. */
function replyCodes(response: string): string {
  const found = /^(\d{3})(?:[ -](\d\.\d{1,3}\.\d{1,3}))?/.exec(response);
  return found ? [found[1], found[2]].filter(Boolean).join(' ') : 'no code';
}

/** RFC 5321, section 4.2.1: 4yz means not now, 5yz means no. */
function outcomeOfError(error: unknown): Outcome {
  const { responseCode, response } = error as { responseCode?: number; response?: string };
  if (typeof responseCode === 'number' && codeText(error) !== 'ETLS') {
    const what = codeText(error) === 'EAUTH' ? 'refused the login' : 'refused the message';
    return refused(`${WHO} ${what} (${replyCodes(response ?? String(responseCode))})`, responseCode >= 500);
  }
  return unreachable(connectionText(WHO, error));
}
