import { box, circle, curve, newSheet, type Point, path, type Sheet, svgText, words } from './pen.ts';

const WIDTH = 1640;
const HEIGHT = 960;

/** What each number in the drawing says, in order. */
const REMARKS = [
  'Outlet behind an RCD/GFCI of 30 mA or less (6 mA class where that is the rule), earthed,\nout of the splash. Test it before every cook.',
  'Enclosure above the water and to the side of it, never under the box: splash-proof\n(IP54 or better), two compartments with a barrier, lid that needs a tool.',
  'Drip loop: every cable hangs lower than its gland, so that water drips off.',
  'Cable gland with strain relief: pull at the cable, nothing inside may move.',
  'Thermal cut-off F3 clamped to the head of the element: dry or boiling, it opens and\nstays open until a person has looked and pushed it.',
  'Element wholly under water, its sheath earthed, in a cage: no bag may touch it.',
  'Level switch S2 opens while the element is still covered by 20 mm.',
  'Bath probe B1 in the stream of the pump, at half height, a hand away from element and\nwall; never in a corner. Second probe B2 at the far end.',
  'Bags apart, held under by ballast, water all round; core probe B3 through a stuffed gland\nin the thickest piece; no cable across the rim under the lid without a notch.',
  'Pump M1 for hot water, extra-low voltage, inlet with a strainer.',
  'Computer, battery and board dry and away from steam; sounder H2 where the sleeper hears it.',
  'Box on a floor that bears it and may get wet, lid on, children and pets kept away:\nwater at 70 °C burns skin in about a second.',
] as const;

/** Where things go round the box: seen from the front, not to scale. */
export function layoutSvg(): string {
  const sheet = newSheet(WIDTH, HEIGHT);
  words(sheet, 'title', [30, 40], 'Bathkeeper · where things go');
  words(
    sheet,
    'small',
    [30, 62],
    'Seen from the front, not to scale. Names as in the schematic. Mains work is for a licensed person where the law says so.',
  );
  drawRoom(sheet);
  drawBath(sheet);
  drawEnclosure(sheet);
  drawCables(sheet);
  drawMarks(sheet);
  drawRemarks(sheet);
  return svgText(
    sheet,
    'Bathkeeper: where things go',
    'Outlet with RCD at the left, enclosure on the wall above and beside the cool box, every cable with a drip loop and strain relief; element with thermal cut-off, level switch, probes, pump and bags in the box; computer and sounder in the dry.',
  );
}

function drawRoom(sheet: Sheet): void {
  path(sheet, 'thin', [30, 880], [980, 880]);
  for (let x = 40; x < 980; x += 30) path(sheet, 'thin', [x, 894], [x + 14, 880]);
  // Outlet with its test button.
  box(sheet, 'part', [50, 210], 90, 110, 8);
  circle(sheet, 'part', [95, 275], 26);
  circle(sheet, 'solid', [86, 275], 3);
  circle(sheet, 'solid', [104, 275], 3);
  box(sheet, 'part', [66, 222], 24, 14, 3);
  words(sheet, 'small', [95, 340], 'RCD / GFCI', 'middle');
  // The dry corner.
  box(sheet, 'part', [760, 130], 200, 110, 8);
  words(sheet, 'ref', [774, 154], 'A2, G2');
  words(sheet, 'small', [774, 174], 'computer, battery');
  circle(sheet, 'part', [925, 205], 20);
  words(sheet, 'ref', [925, 210], 'H2', 'middle');
}

function drawBath(sheet: Sheet): void {
  // Walls and lid of foam, water inside, feet below.
  box(sheet, 'foam', [330, 480], 620, 380, 18);
  box(sheet, 'part', [366, 500], 548, 324, 8);
  box(sheet, 'water', [366, 540], 548, 284, 8);
  box(sheet, 'foam', [320, 448], 640, 34, 8);
  for (const x of [360, 880]) box(sheet, 'ground', [x, 860], 40, 20);
  words(sheet, 'small', [640, 470], 'lid', 'middle');
  drawElement(sheet);
  // Level switch: float on a rod.
  path(sheet, 'wire', [510, 448], [510, 596]);
  circle(sheet, 'metal', [510, 584], 14);
  words(sheet, 'ref', [528, 580], 'S2');
  for (const [x, y] of [
    [585, 650],
    [700, 690],
    [815, 650],
  ] as const) {
    box(sheet, 'food', [x, y], 84, 62, 22);
    box(sheet, 'ground', [x + 22, y + 66], 40, 14, 4);
  }
  words(sheet, 'small', [742, 800], 'bags, ballast', 'middle');
  probe(sheet, [556, 448], 220, 'B1');
  probe(sheet, [890, 448], 150, 'B2');
  probe(sheet, [742, 448], 276, 'B3');
  circle(sheet, 'metal', [600, 796], 22);
  words(sheet, 'ref', [600, 801], 'M1', 'middle');
  curve(sheet, 'thin', 'M 578 788 q -34 -20 -26 -70 m -7 10 l 7 -10 l 8 9');
}

function drawElement(sheet: Sheet): void {
  box(sheet, 'metal', [418, 420], 44, 40, 6);
  box(sheet, 'part', [420, 404], 40, 16, 3);
  words(sheet, 'ref', [412, 418], 'F3', 'end');
  curve(sheet, 'wire', 'M 430 460 V 760 a 10 10 0 0 0 20 0 V 460');
  box(sheet, 'link', [408, 610], 64, 170, 8);
  words(sheet, 'ref', [478, 630], 'E1');
}

function probe(sheet: Sheet, [x, y]: Point, depth: number, name: string): void {
  path(sheet, 'thin', [x, y], [x, y + depth - 30]);
  box(sheet, 'solid', [x - 4, y + depth - 30], 8, 30, 4);
  words(sheet, 'ref', [x + 10, y + depth - 8], name);
}

function drawEnclosure(sheet: Sheet): void {
  box(sheet, 'part', [250, 110], 400, 210, 10);
  box(sheet, 'zone-mains', [258, 118], 210, 194, 6);
  box(sheet, 'barrier', [468, 118], 14, 194);
  box(sheet, 'zone-low', [482, 118], 160, 194, 6);
  words(sheet, 'head', [270, 142], 'Mains');
  words(sheet, 'small', [270, 166], 'Q2  F1  F2  RV1\nH1  K1  K2 on its heat\nsink, outside or aired\nG1');
  words(sheet, 'head', [494, 142], 'Extra-low');
  words(sheet, 'small', [494, 166], 'A1  U1  V1 to V3\nR1 to R8  C1\nS1 in the lid');
  // Glands along the bottom: three of the mains, three of the low side.
  for (const x of [290, 360, 430]) box(sheet, 'ground', [x - 10, 320], 20, 18, 3);
  for (const x of [510, 560, 610]) box(sheet, 'ground', [x - 10, 320], 20, 18, 3);
}

function drawCables(sheet: Sheet): void {
  curve(sheet, 'live', 'M 290 338 C 290 430, 200 430, 190 360 S 150 300, 112 276');
  // To the element: below its entry first, then up into it.
  curve(sheet, 'live', 'M 360 338 C 360 410, 282 400, 282 470 S 306 545, 314 490 S 360 436, 418 436');
  // Mains for the battery's supply, behind the low-voltage cables and over to the dry corner.
  curve(sheet, 'live', 'M 430 338 C 434 408, 600 432, 716 372 S 836 300, 840 240');
  curve(sheet, 'wire', 'M 510 338 C 540 390, 490 400, 510 448');
  // To the pump between two bags, not through one.
  curve(sheet, 'wire', 'M 510 338 C 560 410, 684 380, 684 448');
  path(sheet, 'thin', [684, 448], [684, 812], [618, 808]);
  curve(sheet, 'wire', 'M 560 338 C 580 390, 540 400, 556 448');
  curve(sheet, 'wire', 'M 560 338 C 580 420, 720 370, 742 448 M 560 338 C 620 430, 860 340, 890 448');
  // Ambient probe in the free air, and USB to the dry corner.
  curve(sheet, 'thin', 'M 610 338 C 616 400, 668 396, 668 356');
  box(sheet, 'solid', [664, 326], 8, 30, 4);
  words(sheet, 'ref', [656, 346], 'B4', 'end');
  curve(sheet, 'wire', 'M 610 338 C 614 380, 704 380, 708 300 S 720 200, 760 190');
}

/** Numbers in circles, in the order of the remarks. */
const MARKS: readonly Point[] = [
  [160, 226],
  [236, 128],
  [204, 392],
  [330, 352],
  [484, 430],
  [394, 690],
  [486, 560],
  [532, 626],
  [680, 668],
  [640, 790],
  [744, 146],
  [300, 820],
];

function drawMarks(sheet: Sheet): void {
  MARKS.forEach((at, index) => {
    mark(sheet, at, index + 1);
  });
}

function drawRemarks(sheet: Sheet): void {
  let y = 112;
  REMARKS.forEach((text, index) => {
    mark(sheet, [1016, y - 5], index + 1);
    words(sheet, 'small', [1040, y], text);
    y += 17 * text.split('\n').length + 26;
  });
}

function mark(sheet: Sheet, [x, y]: Point, number: number): void {
  circle(sheet, 'caution', [x, y], 13);
  words(sheet, 'ref', [x, y + 5], String(number), 'middle');
}
