import { isoText } from '../../shared/plan/zone.ts';

/**
 * Beside every instant in milliseconds (a key that ends in Ms) the same as ISO 8601 with the zone's offset, for people
 * and programs that read the document.
 */
export function withIso(value: unknown, zone: string): unknown {
  if (Array.isArray(value)) return value.map((one) => withIso(one, zone));
  if (value === null || typeof value !== 'object') return value;
  const out: Record<string, unknown> = {};
  for (const [key, inner] of Object.entries(value)) {
    out[key] = withIso(inner, zone);
    if (!key.endsWith('Ms')) continue;
    const name = `${key.slice(0, -2)}Iso`;
    if (typeof inner === 'number') out[name] = isoText(inner, zone);
    else if (Array.isArray(inner)) out[name] = inner.map((ms: number) => isoText(ms, zone));
  }
  return out;
}
