import { connect as plainConnect } from 'node:net';
import { connect as tlsConnect } from 'node:tls';
import type { ChannelConfig } from '../../../shared/wire/reach.ts';
import { originOf } from '../../../shared/wire/reach-recorded.ts';
import type { Message } from '../../../shared/wire/reach-view.ts';
import type { Outcome } from '../work.ts';
import { connectionText, type Edge, type EdgeMeans, guarded, unreachable, unusable } from './edge.ts';
import { httpPost, outcomeOf } from './http-post.ts';
import { urlOf } from './secrets.ts';
import { signedHeaders } from './signature.ts';

/** A shorter secret could be guessed from one signed message. */
const SECRET_LEAST = 16;

/** Calls a web address with a signed message. */
export function webhookEdge(config: ChannelConfig & { kind: 'webhook' }, means: EdgeMeans): Edge {
  const who = originOf(config.url);
  return {
    send: (message, signal) =>
      guarded(async () => {
        const url = await urlOf(config.url, means.secret);
        const secret = await means.secret(config.secret);
        if (secret.length < SECRET_LEAST) {
          return unusable(`the secret of the webhook is shorter than ${SECRET_LEAST} characters`);
        }
        const post = await signedPost(message, url, secret, means);
        const { timeoutMs } = means;
        return outcomeOf(await httpPost({ ...post, url, timeoutMs, signal, who }), who);
      }),
    check: (signal) =>
      guarded(async () => {
        await means.secret(config.secret);
        return knock(await urlOf(config.url, means.secret), means, signal, who);
      }),
  };
}

async function signedPost(message: Message, url: URL, secret: string, means: EdgeMeans) {
  const body = JSON.stringify(message);
  const signed = signedHeaders({
    url,
    body,
    secret,
    contentType: 'application/json',
    idempotencyKey: `"${message.key}"`,
    createdS: Math.floor(means.wallMs() / 1000),
  });
  return { body, headers: { ...signed, 'user-agent': 'bathkeeper' }, ca: await means.ca() };
}

/** Opens a connection, with TLS up to the certificate, and closes it: nothing is asked and nobody is called. */
async function knock(url: URL, means: EdgeMeans, signal: AbortSignal, who: string): Promise<Outcome> {
  const secure = url.protocol === 'https:';
  const host = url.hostname.replace(/^\[|\]$/g, '');
  const port = Number(url.port) || (secure ? 443 : 80);
  const ca = await means.ca();
  return new Promise((resolve) => {
    const socket = secure
      ? tlsConnect({
          host,
          port,
          servername: /^[\d.]+$|:/.test(host) ? '' : host,
          ...(ca && { ca: [...ca] }),
        })
      : plainConnect({ host, port });
    const end = (outcome: Outcome): void => {
      clearTimeout(timer);
      signal.removeEventListener('abort', onAbort);
      socket.destroy();
      resolve(outcome);
    };
    const onAbort = (): void => end(unreachable('given up'));
    const timer = setTimeout(
      () => end(unreachable(`${who} did not answer in ${means.timeoutMs / 1000} s`)),
      means.timeoutMs,
    );
    signal.addEventListener('abort', onAbort, { once: true });
    socket.once(secure ? 'secureConnect' : 'connect', () =>
      end({ ok: true, detail: `${who} can be reached` }),
    );
    socket.on('error', (error) => end(unreachable(connectionText(who, error))));
  });
}
