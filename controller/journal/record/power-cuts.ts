import { durationText } from '../../../shared/units/duration.ts';
import type { CookDetail } from '../reader.ts';
import { type Cell, degrees, table, utc } from './html.ts';

/** Of an event of a power cut, what the record shows. The journal takes the tick's own form as it comes. */
interface PowerCut {
  readonly length?: { countsS: number; lowS: number; highS: number; clockS: number | null };
  readonly water?: { beforeC: number; afterC: number | null };
  readonly bags?: readonly { bagId: string; growth: readonly number[]; broken: readonly string[] }[];
}

/** Every time nobody watched: how long by clock and cooling, what the water did, what it did to each bag, who decided. */
export function powerCutSection({ events, bags }: CookDetail): string {
  const label = (bagId: unknown) => bags.find((bag) => bag.bagId === bagId)?.label ?? String(bagId);
  const cuts = events.filter(({ kind }) => kind === 'power-cut' || kind === 'restart-bridged');
  const rows = cuts.map(({ wallMs, data }): Cell[] => {
    const { length, water } = data as PowerCut;
    const s = (seconds: number | null | undefined) => (seconds == null ? null : durationText(seconds));
    return [
      utc(wallMs),
      s(length?.countsS),
      length ? `${s(length.lowS)} to ${s(length.highS)}` : null,
      s(length?.clockS),
      water ? `${degrees(water.beforeC)} to ${degrees(water.afterC) ?? 'not measured'}` : null,
    ];
  });
  const done = cuts.flatMap(({ wallMs, data }) =>
    ((data as PowerCut).bags ?? []).map((bag): Cell[] => {
      const grown = Math.max(0, (bag.growth[1] ?? 0) - (bag.growth[0] ?? 0));
      return [utc(wallMs), label(bag.bagId), `${grown.toFixed(2)} log10`, bag.broken.join(' ') || 'none'];
    }),
  );
  const decisions = events
    .filter(({ kind }) => kind === 'outage-decided')
    .map(({ wallMs, data }): Cell[] => {
      const { bagId, choice, name, by, note } = data as Record<string, string>;
      return [utc(wallMs), label(bagId), choice ?? '', name ?? '', by ?? '', note ?? ''];
    });
  const heads = ['Seen again', 'Counts as', 'Between', 'By the clock', 'Water (measured)'];
  return [
    table('Times nobody watched (length modelled from the cooling, and by the clock)', heads, rows),
    table('What they did (modelled, worst case)', ['Seen again', 'Bag', 'Growth', 'Limits broken'], done),
    table(
      'Decisions after a power cut (stated)',
      ['Time', 'Bag', 'Decision', 'Name', 'Phone', 'Note'],
      decisions,
    ),
  ].join('');
}
