import { box, circle, curve, type Point, path, type Sheet, words } from './pen.ts';

/*
 * Symbols after IEC 60617, each drawn round its middle or between two ends, with its own name beside it. A symbol draws
 * its own leads as far as the points given, so that wires need only end there.
 */

/** A part's name and, under it, what it is. */
export function label(
  sheet: Sheet,
  at: Point,
  ref: string,
  what = '',
  anchor: 'start' | 'middle' | 'end' = 'start',
): void {
  words(sheet, 'ref', at, ref, anchor);
  if (what !== '') words(sheet, 'small', [at[0], at[1] + 16], what, anchor);
}

/** A resistor between two points on one line, 44 long. */
export function resistor(sheet: Sheet, from: Point, to: Point): void {
  const [cx, cy] = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
  path(sheet, 'wire', from, to);
  if (from[1] === to[1]) box(sheet, 'part', [cx - 22, cy - 8], 44, 16);
  else box(sheet, 'part', [cx - 8, cy - 22], 16, 44);
}

/** A fuse: a resistor's box with the wire through it. */
export function fuse(sheet: Sheet, kind: string, from: Point, to: Point): void {
  const [cx, cy] = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
  if (from[1] === to[1]) box(sheet, 'part', [cx - 24, cy - 9], 48, 18);
  else box(sheet, 'part', [cx - 9, cy - 24], 18, 48);
  path(sheet, kind, from, to);
}

/** A varistor between two points, one above the other. */
export function varistor(sheet: Sheet, from: Point, to: Point): void {
  resistor(sheet, from, to);
  const [cx, cy] = [from[0], (from[1] + to[1]) / 2];
  curve(sheet, 'thin', `M ${cx - 20} ${cy + 26} h 8 L ${cx + 18} ${cy - 26}`);
}

/** A capacitor between two points, one above the other. */
export function capacitor(sheet: Sheet, from: Point, to: Point): void {
  const [x, cy] = [from[0], (from[1] + to[1]) / 2];
  path(sheet, 'wire', from, [x, cy - 4]);
  path(sheet, 'wire', [x, cy + 4], to);
  path(sheet, 'wire', [x - 14, cy - 4], [x + 14, cy - 4]);
  path(sheet, 'wire', [x - 14, cy + 4], [x + 14, cy + 4]);
}

/** A contact in a horizontal wire that is open at rest (`make`) or closed at rest (`break`). Gives the blade's middle. */
export function contact(sheet: Sheet, kind: string, rest: 'make' | 'break', [x, y]: Point): Point {
  path(sheet, kind, [x - 40, y], [x - 20, y]);
  path(sheet, kind, [x + 20, y], [x + 40, y]);
  if (rest === 'make') path(sheet, kind, [x - 20, y], [x + 18, y - 18]);
  else {
    path(sheet, kind, [x + 20, y], [x + 20, y + 12]);
    path(sheet, kind, [x - 20, y], [x + 24, y + 10]);
  }
  return [x, rest === 'make' ? y - 9 : y + 5];
}

/** A contact in a vertical wire, closed at rest, pushed open from the left. */
export function pushToBreak(sheet: Sheet, kind: string, [x, y]: Point): void {
  path(sheet, kind, [x, y - 25], [x, y - 14]);
  path(sheet, kind, [x, y + 14], [x, y + 25]);
  path(sheet, kind, [x, y - 14], [x - 10, y - 14]);
  path(sheet, kind, [x, y + 14], [x - 8, y - 17]);
  path(sheet, 'link', [x - 6, y - 2], [x - 30, y - 2]);
  path(sheet, 'wire', [x - 30, y - 10], [x - 30, y + 6]);
}

/** A diode or Zener diode in a vertical wire, its bar at the top or the bottom. */
export function diode(sheet: Sheet, [x, y]: Point, bar: 'up' | 'down', zener = false): void {
  const s = bar === 'up' ? -1 : 1;
  curve(sheet, 'solid', `M ${x - 10} ${y - 9 * s} h 20 L ${x} ${y + 8 * s} Z`);
  const hook = zener
    ? `M ${x - 12} ${y + (8 + 6) * s} V ${y + 8 * s} H ${x + 12} V ${y + (8 - 6) * s}`
    : `M ${x - 11} ${y + 8 * s} h 22`;
  curve(sheet, 'wire', hook);
}

/** An N-channel MOSFET: gate at the left, drain up, source down. Gate lead ends 30 to the left of `x`. */
export function mosfet(sheet: Sheet, [x, y]: Point): void {
  path(sheet, 'wire', [x - 30, y + 10], [x - 16, y + 10], [x - 16, y - 14]);
  path(sheet, 'wire', [x - 16, y + 10], [x - 16, y + 14]);
  for (const dy of [-14, 0, 14]) path(sheet, 'wire', [x - 10, y + dy - 5], [x - 10, y + dy + 5]);
  path(sheet, 'wire', [x - 10, y - 14], [x, y - 14], [x, y - 30]);
  path(sheet, 'wire', [x - 10, y + 14], [x, y + 14], [x, y + 30]);
  path(sheet, 'wire', [x - 10, y], [x, y], [x, y + 14]);
  curve(sheet, 'solid', `M ${x - 9} ${y} l 7 -4 v 8 Z`);
}

/** An optocoupler in a box of 100 by 80 with its corner at `at`: LED at the left, phototransistor at the right. */
export function optocoupler(sheet: Sheet, [x, y]: Point): void {
  box(sheet, 'part', [x, y], 100, 80);
  path(sheet, 'wire', [x - 10, y + 15], [x + 25, y + 15], [x + 25, y + 65], [x - 10, y + 65]);
  diode(sheet, [x + 25, y + 40], 'down');
  for (const dy of [0, 12]) curve(sheet, 'thin', `M ${x + 42} ${y + 32 + dy} h 14 l -5 -4 m 5 4 l -5 4`);
  path(sheet, 'wire', [x + 66, y + 24], [x + 66, y + 56]);
  path(sheet, 'wire', [x + 66, y + 34], [x + 84, y + 22], [x + 84, y + 15], [x + 110, y + 15]);
  path(sheet, 'wire', [x + 66, y + 46], [x + 84, y + 58], [x + 84, y + 65], [x + 110, y + 65]);
  curve(sheet, 'solid', `M ${x + 84} ${y + 58} l -10 -2 l 5 -7 Z`);
}

/** Ground of the 5 V side. */
export function ground(sheet: Sheet, [x, y]: Point): void {
  path(sheet, 'wire', [x, y], [x, y + 10]);
  curve(sheet, 'wire', `M ${x - 12} ${y + 10} h 24 M ${x - 7} ${y + 15} h 14 M ${x - 3} ${y + 20} h 6`);
}

/** Supply of the 5 V side. */
export function plus5(sheet: Sheet, [x, y]: Point): void {
  path(sheet, 'plus5', [x, y], [x, y - 12]);
  path(sheet, 'plus5', [x - 10, y - 12], [x + 10, y - 12]);
  words(sheet, 'small', [x, y - 17], '+5 V', 'middle');
}

/** Protective earth, hanging from a point of the earth line. */
export function protectiveEarth(sheet: Sheet, [x, y]: Point): void {
  circle(sheet, 'part', [x, y + 14], 15);
  curve(
    sheet,
    'wire',
    `M ${x} ${y + 3} v 10 M ${x - 9} ${y + 13} h 18 M ${x - 6} ${y + 18} h 12 M ${x - 2} ${y + 23} h 4`,
  );
}

/** A lamp between two points, one above the other. */
export function lamp(sheet: Sheet, from: Point, to: Point): void {
  const [x, cy] = [from[0], (from[1] + to[1]) / 2];
  path(sheet, 'wire', from, to);
  circle(sheet, 'part', [x, cy], 15);
  curve(sheet, 'wire', `M ${x - 10.6} ${cy - 10.6} l 21.2 21.2 M ${x - 10.6} ${cy + 10.6} l 21.2 -21.2`);
}
