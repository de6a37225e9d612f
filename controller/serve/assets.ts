import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join, relative, sep } from 'node:path';
import { promisify } from 'node:util';
import { brotliCompress, gzip } from 'node:zlib';

/** Only these are served; anything else in the folder is not. */
const TYPES: Readonly<Record<string, string>> = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  css: 'text/css; charset=utf-8',
  svg: 'image/svg+xml',
  webmanifest: 'application/manifest+json',
  json: 'application/json; charset=utf-8',
  png: 'image/png',
  ico: 'image/x-icon',
  woff2: 'font/woff2',
};
const COMPRESSED_ALREADY = new Set(['png', 'woff2']);

/** One file of the page, ready to send in each coding. */
export interface Asset {
  readonly type: string;
  readonly etag: string;
  readonly isPage: boolean;
  /** The name carries a hash of the content, so it never changes. */
  readonly immutable: boolean;
  readonly plain: Buffer;
  readonly gzip: Buffer | null;
  readonly br: Buffer | null;
}

/**
 * Reads the built page whole into memory and compresses it once. What is not in this map does not
 * exist for a request, so no path can lead out of the folder. An absent folder gives an empty map.
 */
export async function loadAssets(dir: string): Promise<ReadonlyMap<string, Asset>> {
  const entries = await readdir(dir, { recursive: true, withFileTypes: true }).catch(
    (error: NodeJS.ErrnoException) => {
      if (error.code === 'ENOENT') return [];
      throw error;
    },
  );
  const assets = new Map<string, Asset>();
  for (const entry of entries) {
    const extension = entry.name.split('.').at(-1) ?? '';
    const type = TYPES[extension];
    if (!entry.isFile() || type === undefined) continue;
    const file = join(entry.parentPath, entry.name);
    const path = `/${relative(dir, file).split(sep).join('/')}`;
    const asset = await loadAsset(file, path, extension, type);
    assets.set(path, asset);
    if (path === '/index.html') assets.set('/', asset);
  }
  return assets;
}

async function loadAsset(file: string, path: string, extension: string, type: string): Promise<Asset> {
  const plain = await readFile(file);
  const compress = !COMPRESSED_ALREADY.has(extension) && plain.length > 512;
  return {
    type,
    etag: `"${createHash('sha256').update(plain).digest('base64url').slice(0, 27)}"`,
    isPage: extension === 'html',
    immutable: path.startsWith('/assets/'),
    plain,
    gzip: compress ? await promisify(gzip)(plain, { level: 9 }) : null,
    br: compress ? await promisify(brotliCompress)(plain) : null,
  };
}

/** Codings we can send, best first. */
export type Coding = 'br' | 'gzip';

/** The first of `offered` that an Accept-Encoding header (RFC 9110 section 12.5.3) takes; null: send it plain. */
export function codingOf(acceptEncoding: string | undefined, offered: readonly Coding[]): Coding | null {
  const taken = (acceptEncoding ?? '')
    .toLowerCase()
    .split(',')
    .filter((part) => !/;\s*q=0(\.0*)?\s*$/.test(part))
    .map((part) => part.split(';')[0]?.trim());
  return offered.find((coding) => taken.includes(coding)) ?? null;
}
