import { box, circle, curve, joint, path, type Sheet, words } from './pen.ts';
import { contact, fuse, label, lamp, protectiveEarth, varistor } from './symbols.ts';

/** Lines of the mains side. */
const L = 190;
const N = 310;
const PE = 410;
/** Where the guard, the regulating switch and the two supplies stand: parts on the other side line up with them. */
export const GUARD_X = 1000;
export const REGULATING_X = 1230;
export const G2_X = 300;
export const G1_X = 480;
/** Upper edge of the two supplies, which reach across the barrier. */
export const SUPPLY_Y = 470;

/** The mains side: plug to element, and the branch to the supplies. */
export function drawMains(sheet: Sheet): void {
  drawInlet(sheet);
  drawSupplyBranch(sheet);
  drawHeatCircuit(sheet);
  drawEarth(sheet);
}

function drawInlet(sheet: Sheet): void {
  box(sheet, 'part', [60, 160], 60, 280, 8);
  label(sheet, [62, 150], 'X1', '');
  words(sheet, 'small', [90, 460], 'Plug, outside', 'middle');
  for (const [y, name] of [
    [L, 'L'],
    [N, 'N'],
    [PE, 'PE'],
  ] as const) {
    words(sheet, 'pin', [90, y + 5], name, 'middle');
  }
  path(sheet, 'live', [120, L], [170, L]);
  path(sheet, 'neutral', [120, N], [170, N]);
  box(sheet, 'part', [170, 160], 90, 180);
  label(sheet, [170, 133], 'Q1', 'RCD / GFCI ≤ 30 mA');
  path(sheet, 'live', [170, L], [195, L], [230, L - 16]);
  path(sheet, 'live', [235, L], [260, L]);
  path(sheet, 'neutral', [170, N], [195, N], [230, N - 16]);
  path(sheet, 'neutral', [235, N], [260, N]);
  path(sheet, 'link', [212, L - 6], [212, N - 8]);
  words(sheet, 'small', [220, 255], 'I∆');
  path(sheet, 'live', [260, L], [300, L]);
  path(sheet, 'neutral', [260, N], [300, N]);
  contact(sheet, 'live', 'make', [340, L]);
  contact(sheet, 'neutral', 'make', [340, N]);
  path(sheet, 'link', [340, L - 8], [340, N - 10]);
  label(sheet, [322, 133], 'Q2', 'Main switch, both poles');
}

function drawSupplyBranch(sheet: Sheet): void {
  path(sheet, 'live', [380, L], [640, L]);
  path(sheet, 'neutral', [380, N], [960, N]);
  // Live goes down through its own fuse to both supplies; neutral beside it.
  joint(sheet, 'live', [420, L]);
  path(sheet, 'live', [420, L], [420, 226]);
  fuse(sheet, 'live', [420, 226], [420, 286]);
  path(sheet, 'live', [420, 286], [420, 440]);
  joint(sheet, 'live', [420, 440]);
  label(sheet, [436, 252], 'F2', '1 A, supplies');
  path(sheet, 'live', [G2_X + 30, SUPPLY_Y], [G2_X + 30, 440], [G1_X + 30, 440], [G1_X + 30, SUPPLY_Y]);
  joint(sheet, 'neutral', [590, N]);
  path(sheet, 'neutral', [590, N], [590, 456], [G1_X + 90, 456], [G1_X + 90, SUPPLY_Y]);
  joint(sheet, 'neutral', [G1_X + 90, 456]);
  path(sheet, 'neutral', [G1_X + 90, 456], [G2_X + 90, 456], [G2_X + 90, SUPPLY_Y]);
}

function drawHeatCircuit(sheet: Sheet): void {
  fuse(sheet, 'live', [640, L], [720, L]);
  label(sheet, [650, 133], 'F1', 'Element fuse, table');
  path(sheet, 'live', [720, L], [960, L]);
  joint(sheet, 'live', [820, L]);
  joint(sheet, 'neutral', [820, N]);
  varistor(sheet, [820, L], [820, N]);
  label(sheet, [848, 244], 'RV1', 'Varistor');
  contact(sheet, 'live', 'make', [GUARD_X, L]);
  contact(sheet, 'neutral', 'make', [GUARD_X, N]);
  label(sheet, [965, 116], 'K1', 'GUARD, contactor\nboth poles');
  path(sheet, 'live', [GUARD_X + 40, L], [1190, L]);
  path(sheet, 'neutral', [GUARD_X + 40, N], [1480, N], [1480, 284]);
  joint(sheet, 'live', [1110, L]);
  joint(sheet, 'neutral', [1110, N]);
  lamp(sheet, [1110, L], [1110, N]);
  label(sheet, [1130, 244], 'H1', 'Circuit live');
  drawSolidState(sheet);
  path(sheet, 'live', [1270, L], [1320, L]);
  drawCutOff(sheet);
  path(sheet, 'live', [1400, L], [1480, L], [1480, 216]);
  drawElement(sheet);
}

function drawSolidState(sheet: Sheet): void {
  box(sheet, 'part', [1190, 160], 80, 60);
  label(sheet, [1190, 116], 'K2', 'REGULATING,\nsolid-state');
  // Two thyristors back to back.
  curve(sheet, 'solid', 'M 1216 180 v 20 l 14 -10 Z M 1244 180 v 20 l -14 -10 Z');
  curve(sheet, 'wire', 'M 1190 190 h 26 M 1244 190 h 26 M 1230 178 v 24');
}

function drawCutOff(sheet: Sheet): void {
  contact(sheet, 'live', 'break', [1360, L]);
  label(sheet, [1322, 116], 'F3', 'Thermal cut-off, manual\nreset, on the element');
  // Temperature opens it; a push closes it again.
  path(sheet, 'link', [1360, L + 7], [1360, L + 34]);
  box(sheet, 'part', [1346, L + 34], 28, 20);
  words(sheet, 'small', [1360, L + 49], 'ϑ', 'middle');
  words(sheet, 'small', [1360, L + 72], 'push = reset', 'middle');
}

function drawElement(sheet: Sheet): void {
  box(sheet, 'part', [1466, 216], 28, 68);
  for (const y of [233, 250, 267]) path(sheet, 'thin', [1466, y], [1494, y]);
  // Its metal sheath stands round it and is earthed.
  box(sheet, 'link', [1452, 204], 56, 92, 14);
  label(sheet, [1518, 236], 'E1', 'Element, 1 kW,\nearthed sheath,\nunder water');
}

function drawEarth(sheet: Sheet): void {
  path(sheet, 'earth', [120, PE], [1560, PE]);
  joint(sheet, 'earth', [1508, PE]);
  path(sheet, 'earth', [1508, PE], [1508, 270]);
  joint(sheet, 'earth', [1250, PE]);
  path(sheet, 'earth', [1250, PE], [1250, 220]);
  words(sheet, 'small', [1258, 350], 'heat sink');
  joint(sheet, 'earth', [720, PE]);
  protectiveEarth(sheet, [720, PE]);
  words(sheet, 'small', [744, PE + 28], 'enclosure, all metal within reach');
  circle(sheet, 'part', [1560, PE], 5);
  words(sheet, 'small', [1556, PE + 24], 'metal that touches water', 'end');
}
