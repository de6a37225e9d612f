import { BathkeeperError } from '../../shared/wire/errors.ts';

/** The header by which a program that is no browser says so; a page of another origin cannot send it unasked. */
export const CLIENT_HEADER = 'x-bathkeeper-client';

/** The request headers that decide whether a request may be served at all. */
export interface RequestOrigin {
  readonly host: string | undefined;
  readonly origin: string | undefined;
  readonly fetchSite: string | undefined;
  readonly client: string | undefined;
}

/** What a request is for: looking, changing something, or opening the stream. */
export type Purpose = 'read' | 'change' | 'stream';

const HOST = /^(\[[0-9a-f:.]+\]|[a-z0-9._-]+)(?::\d{1,5})?$/;

/** The name within a Host header, without its port; null where it is none. */
export function hostName(header: string | undefined): string | null {
  const found = HOST.exec((header ?? '').toLowerCase());
  return found?.[1] ?? null;
}

/** A name as it appears in a Host header: IPv6 addresses in brackets, without a zone. */
export function asHostName(name: string): string {
  const bare = name.toLowerCase().replace(/%.*$/, '');
  return bare.includes(':') && !bare.startsWith('[') ? `[${bare}]` : bare;
}

/**
 * Decides by Host and Origin who may ask for what. The Host allowlist is what holds against DNS
 * rebinding, where a foreign page reaches this server under its own name and Origin equals Host.
 */
export class Guard {
  readonly #given: ReadonlySet<string>;
  readonly #ownNames: () => readonly string[];

  /** `ownNames` is asked anew for each unknown name: a Wi-Fi address may change while a cook runs. */
  constructor(allowedHosts: readonly string[], ownNames: () => readonly string[]) {
    this.#given = new Set(allowedHosts.map(asHostName));
    this.#ownNames = ownNames;
  }

  /** Passes, or throws BathkeeperError host-refused or origin-refused. */
  check(request: RequestOrigin, purpose: Purpose): void {
    const name = this.#checkHost(request.host);
    const { origin, host } = request;
    if (origin !== undefined) {
      if (!this.#ownOrigins(name, host ?? '').includes(origin.toLowerCase())) {
        throw new BathkeeperError('origin-refused', `Origin ${printable(origin)} is not this server's own.`);
      }
    } else if (purpose === 'stream' || (purpose === 'change' && !request.client?.trim())) {
      throw new BathkeeperError(
        'origin-refused',
        `No Origin header was sent; a program that is no browser sends ${CLIENT_HEADER}: <its name> instead (not on the stream).`,
      );
    }
    const site = request.fetchSite;
    if (site !== undefined && purpose !== 'read' && site !== 'same-origin' && site !== 'none') {
      throw new BathkeeperError('origin-refused', `The browser called the request ${printable(site)}.`);
    }
  }

  #checkHost(header: string | undefined): string {
    const name = hostName(header);
    if (name !== null && (this.#given.has(name) || LOOPBACK.has(name))) return name;
    if (name !== null && this.#ownNames().some((own) => asHostName(own) === name)) return name;
    throw new BathkeeperError('host-refused', `Host was ${printable(header ?? 'absent')}.`);
  }

  /** A name given in the configuration may stand behind a proxy that speaks https. */
  #ownOrigins(name: string, host: string): string[] {
    const plain = `http://${host.toLowerCase()}`;
    return this.#given.has(name) ? [plain, `https://${host.toLowerCase()}`] : [plain];
  }
}

const LOOPBACK: ReadonlySet<string> = new Set(['localhost', '127.0.0.1', '[::1]']);

/** Text of a stranger made fit for a message or a log line: short, on one line, no control characters. */
export function printable(text: string, max = 80): string {
  return JSON.stringify(text.slice(0, max).replace(/[\p{C}\p{Zl}\p{Zp}]/gu, '?'));
}
