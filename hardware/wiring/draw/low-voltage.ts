import { G1_X, G2_X, GUARD_X, REGULATING_X, SUPPLY_Y } from './mains.ts';
import { box, circle, curve, joint, path, type Sheet, words } from './pen.ts';
import type { PinUse } from './pins.ts';
import {
  capacitor,
  diode,
  ground,
  label,
  mosfet,
  optocoupler,
  plus5,
  pushToBreak,
  resistor,
} from './symbols.ts';

type Pins = Record<PinUse, string>;

/** Rails of the 24 V side, which drives the guard's coil and the pump. */
const PLUS24 = 640;
const ZERO24 = 960;
/** The board's right edge, and the height of each pin used. */
const BOARD_X = 680;
const PIN_Y = { GUARD: 815, REGULATING: 1010, SOUNDER: 1090, LEVEL: 1192, WIRE: 1292, LED: 1292 } as const;

/** The extra-low-voltage side: supplies, computer, board, and what hangs on its pins. */
export function drawLowVoltage(sheet: Sheet, pins: Pins): void {
  drawSupplies(sheet);
  drawComputer(sheet);
  drawBoard(sheet, pins);
  drawGuardDrive(sheet);
  drawGuardCoil(sheet);
  drawPump(sheet);
  drawRegulatingDrive(sheet);
  drawSounder(sheet);
  drawLevel(sheet);
  drawProbes(sheet);
}

function drawSupplies(sheet: Sheet): void {
  for (const [x, ref, what] of [
    [G2_X, 'G2', '5 V with battery,\nno gap when\nmains fails'],
    [G1_X, 'G1', '24 V, without\nbattery'],
  ] as const) {
    box(sheet, 'part', [x, SUPPLY_Y], 120, 122);
    label(sheet, [x + 8, SUPPLY_Y + 20], ref, '');
    words(sheet, 'small', [x + 8, SUPPLY_Y + 72], what);
    // Safety transformer inside: two windings with a screen.
    curve(
      sheet,
      'thin',
      `M ${x + 52} ${SUPPLY_Y + 10} q 16 8 0 16 q 16 8 0 16 M ${x + 88} ${SUPPLY_Y + 10} q -16 8 0 16 q -16 8 0 16`,
    );
    path(sheet, 'thin', [x + 70, SUPPLY_Y + 8], [x + 70, SUPPLY_Y + 46]);
  }
  path(sheet, 'plus24', [G1_X + 30, SUPPLY_Y + 122], [G1_X + 30, PLUS24], [1330, PLUS24]);
  words(sheet, 'small', [690, PLUS24 + 18], '+24 V');
  path(
    sheet,
    'zero24',
    [G1_X + 90, SUPPLY_Y + 122],
    [G1_X + 90, 612],
    [1560, 612],
    [1560, ZERO24],
    [970, ZERO24],
  );
  words(sheet, 'small', [618, 604], '0 V of the 24 V side: not joined to the ground of the 5 V side');
}

function drawComputer(sheet: Sheet): void {
  path(sheet, 'plus5', [G2_X + 30, SUPPLY_Y + 122], [G2_X + 30, 760]);
  path(sheet, 'zero24', [G2_X + 90, SUPPLY_Y + 122], [G2_X + 90, 760]);
  words(sheet, 'small', [G2_X + 22, 716], '5 V', 'end');
  box(sheet, 'part', [250, 760], 180, 110, 6);
  label(sheet, [262, 784], 'A2', 'Single-board computer,\nthe controller; network\nto the phones');
  path(sheet, 'wire', [430, 840], [500, 840]);
  path(sheet, 'wire', [430, 848], [500, 848]);
  words(sheet, 'small', [465, 832], 'USB', 'middle');
}

function drawBoard(sheet: Sheet, pins: Pins): void {
  box(sheet, 'part', [500, 738], 180, 606, 6);
  label(sheet, [512, 760], 'A1', 'Board, ATmega328P,\n16 MHz, 5 V');
  words(
    sheet,
    'small',
    [512, 918],
    'feeds itself and\nall of the 5 V side\nby USB from A2,\nso from the battery',
  );
  for (const [use, name] of [
    ['GUARD', 'guard'],
    ['REGULATING', 'regulating'],
    ['SOUNDER', 'sounder'],
    ['LEVEL', 'level'],
    ['WIRE', '1-Wire'],
  ] as const) {
    words(sheet, 'pin', [BOARD_X - 8, PIN_Y[use] + 5], pins[use], 'end');
    words(sheet, 'small', [BOARD_X - 46, PIN_Y[use] + 4], name, 'end');
  }
  words(sheet, 'pin', [512, PIN_Y.LED + 5], pins.LED);
  words(sheet, 'small', [552, PIN_Y.LED + 4], 'lamp');
  words(sheet, 'small', [512, 862], 'GND = ground of\nthe 5 V side');
}

function drawGuardDrive(sheet: Sheet): void {
  const y = PIN_Y.GUARD;
  path(sheet, 'wire', [BOARD_X, y], [780, y]);
  joint(sheet, 'wire', [725, y]);
  resistor(sheet, [725, y], [725, y + 74]);
  ground(sheet, [725, y + 74]);
  label(sheet, [741, y + 32], 'R2', '10k');
  resistor(sheet, [745, y], [825, y]);
  label(sheet, [766, y - 32], 'R3', '680');
  path(sheet, 'wire', [825, y], [838, y]);
  optocoupler(sheet, [848, y - 15]);
  path(sheet, 'wire', [838, y + 50], [820, y + 50], [820, y + 74]);
  ground(sheet, [820, y + 74]);
  label(sheet, [848, y + 84], 'U1', 'optocoupler');
  // Collector to +24 V through R4, emitter to the gate.
  path(sheet, 'wire', [958, y], [970, y], [970, 770]);
  resistor(sheet, [970, 770], [970, 700]);
  path(sheet, 'wire', [970, 700], [970, PLUS24]);
  joint(sheet, 'plus24', [970, PLUS24]);
  label(sheet, [956, 726], 'R4', '10k', 'end');
  path(sheet, 'wire', [958, y + 50], [970, y + 50], [970, 876], [1020, 876]);
  joint(sheet, 'wire', [970, 876]);
  resistor(sheet, [970, 876], [970, ZERO24]);
  joint(sheet, 'zero24', [970, ZERO24]);
  label(sheet, [986, 920], 'R5', '10k');
}

function drawGuardCoil(sheet: Sheet): void {
  const x = 1050;
  mosfet(sheet, [x, 866]);
  label(sheet, [x + 14, 872], 'V1', 'N-MOSFET\n100 V');
  path(sheet, 'wire', [x, 896], [x, ZERO24]);
  joint(sheet, 'zero24', [x, ZERO24]);
  path(sheet, 'wire', [x, 800], [x, 836]);
  // Coil, with the stop button above it.
  joint(sheet, 'plus24', [x, PLUS24]);
  path(sheet, 'wire', [x, PLUS24], [x, 648]);
  pushToBreak(sheet, 'wire', [x, 673]);
  label(sheet, [x + 18, 668], 'S1', 'STOP, latching');
  path(sheet, 'wire', [x, 698], [x, 730]);
  box(sheet, 'part', [x - 24, 730], 48, 44);
  path(sheet, 'thin', [x - 24, 774], [x + 24, 730]);
  path(sheet, 'wire', [x, 774], [x, 800]);
  words(sheet, 'small', [x + 30, 756], 'K1 coil');
  // Clamp across the coil itself, so that it works whichever way the current was cut.
  joint(sheet, 'wire', [x, 712]);
  joint(sheet, 'wire', [x, 800]);
  path(sheet, 'wire', [x, 712], [1150, 712], [1150, 800], [x, 800]);
  diode(sheet, [1150, 735], 'down', true);
  diode(sheet, [1150, 775], 'up');
  label(sheet, [1168, 730], 'V3', '33 V');
  label(sheet, [1168, 778], 'V2', 'diode');
  path(sheet, 'link', [GUARD_X, 181], [GUARD_X, 752], [x - 24, 752]);
}

function drawPump(sheet: Sheet): void {
  const x = 1330;
  path(sheet, 'plus24', [x, PLUS24], [x, 760]);
  path(sheet, 'zero24', [x, 820], [x, ZERO24]);
  circle(sheet, 'part', [x, 790], 30);
  words(sheet, 'pin', [x, 795], 'M', 'middle');
  label(sheet, [x + 40, 784], 'M1', 'Circulation pump, 24 V,\nfor hot water; runs\nwhile mains is on');
}

function drawRegulatingDrive(sheet: Sheet): void {
  const y = PIN_Y.REGULATING;
  path(sheet, 'wire', [BOARD_X, y], [REGULATING_X, y]);
  joint(sheet, 'wire', [725, y]);
  resistor(sheet, [725, y], [725, y + 60]);
  ground(sheet, [725, y + 60]);
  label(sheet, [741, y + 26], 'R1', '10k');
  box(sheet, 'part', [REGULATING_X - 45, y - 20], 90, 76);
  path(sheet, 'wire', [REGULATING_X - 45, y], [REGULATING_X, y], [REGULATING_X, y + 56]);
  diode(sheet, [REGULATING_X, y + 28], 'down');
  words(sheet, 'small', [REGULATING_X + 52, y - 4], 'K2 input,\n3 to 32 V DC,\n≤ 15 mA at 5 V');
  ground(sheet, [REGULATING_X, y + 56]);
  path(sheet, 'link', [REGULATING_X, 220], [REGULATING_X, y - 20]);
}

function drawSounder(sheet: Sheet): void {
  const y = PIN_Y.SOUNDER;
  path(sheet, 'wire', [BOARD_X, y], [780, y]);
  resistor(sheet, [780, y], [880, y]);
  label(sheet, [812, y - 32], 'R7', '220');
  circle(sheet, 'part', [906, y], 26);
  curve(sheet, 'wire', `M 892 ${y - 12} v 24 M 898 ${y - 12} h 16 v 24 h -16 Z M 920 ${y - 12} v 24`);
  path(sheet, 'wire', [932, y], [960, y], [960, y + 4]);
  ground(sheet, [960, y + 4]);
  label(sheet, [980, y - 4], 'H2', 'Piezo sounder, passive, 2.9 kHz; to be heard from the bed');
}

function drawLevel(sheet: Sheet): void {
  const y = PIN_Y.LEVEL;
  path(sheet, 'wire', [BOARD_X, y], [860, y]);
  joint(sheet, 'wire', [800, y]);
  resistor(sheet, [800, y], [800, y - 46]);
  plus5(sheet, [800, y - 46]);
  label(sheet, [818, y - 22], 'R8', '1k');
  path(sheet, 'wire', [860, y], [880, y], [918, y - 16]);
  path(sheet, 'wire', [920, y], [960, y], [960, y + 6]);
  ground(sheet, [960, y + 6]);
  circle(sheet, 'water', [898, y + 24], 10);
  path(sheet, 'link', [898, y - 8], [898, y + 14]);
  label(sheet, [980, y - 4], 'S2', 'Level switch: closed while there is water; a cut wire reads as low');
}

function drawProbes(sheet: Sheet): void {
  const y = PIN_Y.WIRE;
  path(sheet, 'wire', [BOARD_X, y], [1250, y]);
  joint(sheet, 'wire', [725, y]);
  resistor(sheet, [725, y], [725, y - 60]);
  plus5(sheet, [725, y - 60]);
  label(sheet, [741, y - 36], 'R6', '4k7');
  path(sheet, 'plus5', [800, y - 24], [1250, y - 24]);
  plus5(sheet, [800, y - 24]);
  path(sheet, 'wire', [800, y + 24], [1250, y + 24]);
  ground(sheet, [800, y + 24]);
  capacitor(sheet, [900, y - 24], [900, y + 24]);
  joint(sheet, 'wire', [900, y - 24]);
  joint(sheet, 'wire', [900, y + 24]);
  label(sheet, [882, y + 44], 'C1', '100 nF', 'end');
  ['bath', 'second', 'core in\na bag', 'ambient'].forEach((role, index) => {
    const x = 990 + index * 84;
    for (const dy of [-24, 0, 24]) joint(sheet, 'wire', [x - 24 + dy / 3, y + dy]);
    for (const dy of [-24, 0, 24]) path(sheet, 'thin', [x - 24 + dy / 3, y + dy], [x - 24 + dy / 3, y + 56]);
    box(sheet, 'metal', [x - 42, y + 56], 36, 34, 10);
    label(sheet, [x - 24, y + 78], `B${index + 1}`, '', 'middle');
    words(sheet, 'small', [x - 24, y + 106], role, 'middle');
  });
  words(sheet, 'small', [1262, y - 8], 'DS18B20, own supply wire,\neach found by its ROM');
}
