import { createHash, createHmac } from 'node:crypto';

/** Body digest for the field Content-Digest, after RFC 9530. */
export function contentDigest(body: string): string {
  return `sha-256=:${createHash('sha256').update(body).digest('base64')}:`;
}

/** One covered component of a signature: its name as in RFC 9421, section 2, and its value. */
export type Component = readonly [name: string, value: string];

/** The signature parameters of RFC 9421, section 2.3, as they stand in Signature-Input after the label. */
export function signatureParams(names: readonly string[], createdS: number, more: string): string {
  return `(${names.map((name) => `"${name}"`).join(' ')});created=${createdS};${more}`;
}

/** HMAC with SHA-256 over the signature base of RFC 9421, sections 2.5 and 3.3.3, as base64. */
export function signHmac(components: readonly Component[], params: string, secret: string | Buffer): string {
  const base = [
    ...components.map(([name, value]) => `"${name}": ${value}`),
    `"@signature-params": ${params}`,
  ].join('\n');
  return createHmac('sha256', secret).update(base).digest('base64');
}

export interface ToSign {
  readonly url: URL;
  readonly body: string;
  readonly contentType: string;
  /** Value of Idempotency-Key, a quoted string. */
  readonly idempotencyKey: string;
  readonly createdS: number;
  readonly secret: string;
}

/** The header fields that sign a POST: whence, what, when. See README.md for how to check them. */
export function signedHeaders(post: ToSign): Record<string, string> {
  const digest = contentDigest(post.body);
  const components: Component[] = [
    ['@method', 'POST'],
    ['@authority', post.url.host],
    ['@path', post.url.pathname],
    ['@query', post.url.search || '?'],
    ['content-type', post.contentType],
    ['content-digest', digest],
    ['idempotency-key', post.idempotencyKey],
  ];
  const names = components.map(([name]) => name);
  const params = signatureParams(names, post.createdS, 'keyid="bathkeeper";alg="hmac-sha256"');
  return {
    'content-type': post.contentType,
    'content-digest': digest,
    'idempotency-key': post.idempotencyKey,
    'signature-input': `bathkeeper=${params}`,
    signature: `bathkeeper=:${signHmac(components, params, post.secret)}:`,
  };
}
