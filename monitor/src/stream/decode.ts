import './plain-zod.ts';
import { type ServerMessage, serverMessageSchema } from '../../../shared/wire/stream.ts';

export type Decoded = { ok: true; message: ServerMessage } | { ok: false; why: string };

/** One message of the server, checked against the shared schema. Never throws: says why it could not be read. */
export function decode(data: unknown): Decoded {
  if (typeof data !== 'string') return { ok: false, why: 'it was not text' };
  let raw: unknown;
  try {
    raw = JSON.parse(data);
  } catch {
    return { ok: false, why: 'it was not JSON' };
  }
  const parsed = serverMessageSchema.safeParse(raw);
  if (parsed.success) return { ok: true, message: parsed.data };
  const issue = parsed.error.issues[0];
  const where = issue && issue.path.length > 0 ? issue.path.map(String).join('.') : 'the whole message';
  return { ok: false, why: `${where}: ${issue?.message ?? 'not of the expected form'}` };
}
