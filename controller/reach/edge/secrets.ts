import { readFile } from 'node:fs/promises';
import { rootCertificates } from 'node:tls';
import type { SecretRef } from '../../../shared/wire/reach.ts';

/** A secret that cannot be had. The message names where it should be, never what it is. */
export class SecretError extends Error {
  constructor(message: string) {
    super(message);
    this.name = 'SecretError';
  }
}

/**
 * Reads a secret where the configuration says it lies, each time anew, so that a mended or changed one works at once.
 * The line end of a file does not belong to it.
 * @throws SecretError where it is missing or empty
 */
export async function readSecret(
  ref: SecretRef,
  env: Readonly<Record<string, string | undefined>>,
): Promise<string> {
  const found = 'env' in ref ? env[ref.env] : await textOf(ref.file);
  const where = 'env' in ref ? `environment variable ${ref.env}` : `file ${ref.file}`;
  const secret = (found ?? '').replace(/\r?\n$/, '');
  if (secret === '')
    throw new SecretError(`the secret is missing: ${where} is not there, empty or not readable`);
  return secret;
}

async function textOf(path: string): Promise<string | undefined> {
  try {
    return await readFile(path, 'utf8');
  } catch {
    return undefined;
  }
}

/** The usual certificates and those of a file; null where no file is named: Node's own choice. @throws SecretError */
export async function trusted(caFile: string | null): Promise<readonly string[] | null> {
  if (caFile === null) return null;
  const own = await textOf(caFile);
  if (own === undefined) throw new SecretError(`the certificates in ${caFile} cannot be read`);
  return [...rootCertificates, own];
}

/** The address of the configuration, or of where the configuration says that it lies. @throws SecretError */
export async function urlOf(
  url: string | SecretRef,
  secret: (ref: SecretRef) => Promise<string>,
): Promise<URL> {
  const text = typeof url === 'string' ? url : (await secret(url)).trim();
  if (!URL.canParse(text) || !/^https?:$/.test(new URL(text).protocol)) {
    throw new SecretError('the address kept in a file or variable is no http or https address');
  }
  return new URL(text);
}
