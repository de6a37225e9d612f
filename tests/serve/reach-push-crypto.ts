import {
  createDecipheriv,
  createECDH,
  createHmac,
  createPublicKey,
  type ECDH,
  verify as verifySignature,
} from 'node:crypto';

const hmac = (key: Buffer, ...parts: (Buffer | string)[]): Buffer => {
  const mac = createHmac('sha256', key);
  for (const part of parts) mac.update(part);
  return mac.digest();
};

/** What a phone has after it subscribed: a key pair and a secret of its own. */
export interface PhoneKeys {
  readonly ecdh: ECDH;
  readonly auth: Buffer;
}

/** A phone's keys from their private part, or new ones. */
export function phoneKeys(privateKey: Buffer | null, auth: Buffer): PhoneKeys {
  const ecdh = createECDH('prime256v1');
  if (privateKey) ecdh.setPrivateKey(privateKey);
  else ecdh.generateKeys();
  return { ecdh, auth };
}

/**
 * Decrypts what a push service hands to a phone, written from RFC 8291 (section 3.4) and RFC 8188 (section 2) alone,
 * so that the sending side is checked against the standard and not against itself. One record, as RFC 8291 asks.
 */
export function decryptPush(body: Buffer, phone: PhoneKeys): string {
  const salt = body.subarray(0, 16);
  const recordSize = body.readUInt32BE(16);
  const keyIdLength = body.readUInt8(20);
  const senderKey = body.subarray(21, 21 + keyIdLength);
  const record = body.subarray(21 + keyIdLength);
  if (record.length > recordSize) throw new Error('more than one record');
  const shared = phone.ecdh.computeSecret(senderKey);
  const info = Buffer.concat([
    Buffer.from('WebPush: info\0'),
    phone.ecdh.getPublicKey(),
    senderKey,
    Buffer.from([1]),
  ]);
  const ikm = hmac(hmac(phone.auth, shared), info);
  const prk = hmac(salt, ikm);
  const key = hmac(prk, 'Content-Encoding: aes128gcm\0', Buffer.from([1])).subarray(0, 16);
  const nonce = hmac(prk, 'Content-Encoding: nonce\0', Buffer.from([1])).subarray(0, 12);
  const decipher = createDecipheriv('aes-128-gcm', key, nonce);
  decipher.setAuthTag(record.subarray(-16));
  const plain = Buffer.concat([decipher.update(record.subarray(0, -16)), decipher.final()]);
  const end = plain.lastIndexOf(2);
  if (end < 0 || plain.subarray(end + 1).some((byte) => byte !== 0)) throw new Error('no end of record');
  return plain.subarray(0, end).toString('utf8');
}

/** The claims of a VAPID header (RFC 8292, section 2) once its ES256 signature (RFC 7518, section 3.4) was checked. */
export function vapidClaims(header: string): {
  publicKey: string;
  claims: { aud: string; exp: number; sub: string };
} {
  const [, token = '', publicKey = ''] = /^vapid t=([\w.-]+), ?k=([\w-]+)$/.exec(header) ?? [];
  const [head = '', body = '', signature = ''] = token.split('.');
  const point = Buffer.from(publicKey, 'base64url');
  const key = createPublicKey({
    format: 'jwk',
    key: {
      kty: 'EC',
      crv: 'P-256',
      x: point.subarray(1, 33).toString('base64url'),
      y: point.subarray(33).toString('base64url'),
    },
  });
  const good = verifySignature(
    'sha256',
    Buffer.from(`${head}.${body}`),
    { key, dsaEncoding: 'ieee-p1363' },
    Buffer.from(signature, 'base64url'),
  );
  if (!good) throw new Error('the VAPID signature is wrong');
  return { publicKey, claims: JSON.parse(Buffer.from(body, 'base64url').toString()) };
}
