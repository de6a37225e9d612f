import type { BagRow } from '../../../shared/wire/record.ts';
import { escaped } from './html.ts';
import type { Minute } from './measured.ts';

const WIDTH = 760;
const HEIGHT = 260;
const LEFT = 36;
const BOTTOM = 22;
const TOP = 8;
/** Minutes without a sample beyond this are a gap in the line, not a slope across it. */
const BREAK_MS = 120_000;
const DASHES = ['6 2', '2 2', '8 2 2 2', '1 3', '10 4', '4 4', '3 1', '12 2'];

/** The measured bath as a band of each minute's lowest and highest, the setpoint, and each bag's modelled core, as SVG. */
export function chart(minutes: readonly Minute[], bags: readonly BagRow[]): string {
  const first = minutes[0];
  const last = minutes.at(-1);
  if (!first || !last) return '<p class="none">No samples.</p>\n';
  const values = minutes.flatMap(({ minC, maxC, setpointC, bags: cores }) =>
    [minC, maxC, setpointC, ...cores.map(({ coreC }) => coreC)].filter((one) => one !== null),
  );
  const low = Math.floor(Math.min(...ends(values)) / 10) * 10;
  const high = Math.max(low + 10, Math.ceil(Math.max(...ends(values)) / 10) * 10);
  const spanMs = Math.max(60_000, last.startMs - first.startMs);
  const x = (ms: number) => (LEFT + ((ms - first.startMs) / spanMs) * (WIDTH - LEFT - 8)).toFixed(1);
  const y = (celsius: number) =>
    (TOP + ((high - celsius) / (high - low)) * (HEIGHT - TOP - BOTTOM)).toFixed(1);
  const lines = [path(minutes, (minute) => minute.setpointC, x, y, 'stroke="#888" stroke-width="1"')];
  for (const pick of ['minC', 'maxC'] as const) {
    lines.push(path(minutes, (minute) => minute[pick], x, y, 'stroke="#000" stroke-width="1.2"'));
  }
  bags.forEach((bag, n) => {
    const core = (minute: Minute) => minute.bags.find(({ bagId }) => bagId === bag.bagId)?.coreC ?? null;
    const dash = `stroke="#333" stroke-width="1" stroke-dasharray="${DASHES[n % DASHES.length]}"`;
    lines.push(path(minutes, core, x, y, dash));
  });
  const grid = Array.from({ length: (high - low) / 10 + 1 }, (_, n) => low + n * 10).map(
    (celsius) =>
      `<path d="M${LEFT} ${y(celsius)}H${WIDTH - 8}" stroke="#ddd"/><text x="2" y="${Number(y(celsius)) + 3}">${celsius} °C</text>`,
  );
  const clock = (ms: number) => new Date(ms).toISOString().slice(11, 16);
  const times = [0, 0.25, 0.5, 0.75, 1].map((part) => first.startMs + part * spanMs);
  const marks = times.map(
    (ms, n) =>
      `<text x="${x(ms)}" y="${HEIGHT - 6}" text-anchor="${n === 4 ? 'end' : n === 0 ? 'start' : 'middle'}">${clock(ms)} Z</text>`,
  );
  const legend = bags.map((bag, n) => `core of ${bag.label}: dashes ${DASHES[n % DASHES.length]}`).join('; ');
  return `<svg viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="Bath and cores over time">${grid.join('')}${lines.join('')}${marks.join('')}</svg>
<p>Black: bath, measured, lowest and highest of each minute. Grey: setpoint. Dashed, modelled: ${escaped(legend || 'no bags')}. A break is a gap.</p>\n`;
}

/** Lowest and highest, without handing a long list to one call. */
function ends(values: readonly number[]): [number, number] {
  return values.reduce<[number, number]>(
    ([a, b], one) => [Math.min(a, one), Math.max(b, one)],
    [Infinity, -Infinity],
  );
}

function path(
  minutes: readonly Minute[],
  pick: (minute: Minute) => number | null,
  x: (ms: number) => string,
  y: (celsius: number) => string,
  look: string,
): string {
  let drawn = '';
  let before = Number.NEGATIVE_INFINITY;
  for (const minute of minutes) {
    const value = pick(minute);
    if (value === null) continue;
    const joins = minute.startMs - before > 0 && minute.startMs - before <= BREAK_MS;
    drawn += `${joins ? 'L' : 'M'}${x(minute.startMs)} ${y(value)}`;
    before = minute.startMs;
  }
  return drawn === '' ? '' : `<path d="${drawn}" fill="none" ${look}/>`;
}
