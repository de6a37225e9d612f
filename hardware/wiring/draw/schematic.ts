import { drawLowVoltage } from './low-voltage.ts';
import { drawMains } from './mains.ts';
import { box, newSheet, type Sheet, svgText, words } from './pen.ts';
import type { PinUse } from './pins.ts';

const WIDTH = 1640;
const HEIGHT = 1450;

/** The schematic: mains above the barrier, extra-low voltage below it. */
export function schematicSvg(pins: Record<PinUse, string>): string {
  const sheet = newSheet(WIDTH, HEIGHT);
  drawCautions(sheet);
  drawZones(sheet);
  drawMains(sheet);
  drawLowVoltage(sheet, pins);
  drawNotes(sheet, pins);
  drawBarrierWords(sheet);
  return svgText(
    sheet,
    'Bathkeeper: schematic of the rig with two switches',
    `Mains from a plug through RCD, main switch and fuse to the guard contactor K1 (both poles), the solid-state regulating switch K2 and a thermal cut-off with manual reset to the element. Board pins: ${pins.GUARD} guard, ${pins.REGULATING} regulating, ${pins.WIRE} probes, ${pins.LEVEL} level switch, ${pins.SOUNDER} sounder.`,
  );
}

function drawCautions(sheet: Sheet): void {
  words(sheet, 'title', [30, 40], 'Bathkeeper · schematic, two switches');
  box(sheet, 'caution', [560, 12], 1056, 66, 6);
  words(
    sheet,
    'danger',
    [576, 38],
    'MAINS KILLS, WATER MAKES IT WORSE. For a licensed person where the law says so; local code goes first.',
  );
  words(
    sheet,
    'small',
    [576, 60],
    'Plug out, and checked dead, before the enclosure is opened. Above the barrier all is at mains voltage, whatever the program has switched off.',
  );
}

function drawZones(sheet: Sheet): void {
  box(sheet, 'zone-mains', [24, 92], WIDTH - 48, 408);
  box(sheet, 'zone-low', [24, 556], WIDTH - 48, HEIGHT - 580);
  box(sheet, 'barrier', [24, 500], WIDTH - 48, 56);
  words(sheet, 'head', [1130, 482], 'MAINS (drawn at rest, without power)');
  words(sheet, 'head', [40, 582], 'EXTRA-LOW VOLTAGE (SELV)');
}

/** Drawn last, on ground of its own: the dashed links of K1 and K2 would strike the words through. */
function drawBarrierWords(sheet: Sheet): void {
  box(sheet, 'barrier-ground', [634, 506], 872, 44);
  words(
    sheet,
    'head',
    [640, 524],
    'BARRIER · reinforced insulation: 8 mm apart in air and along surfaces, own compartment, own glands',
  );
  words(
    sheet,
    'small',
    [640, 544],
    'Only G1, G2, K1 and K2 reach across, each with its own reinforced insulation inside',
  );
}

function drawNotes(sheet: Sheet, pins: Record<PinUse, string>): void {
  words(sheet, 'head', [40, 940], 'Element fuse F1');
  words(
    sheet,
    'small',
    [40, 962],
    '1 kW at 230 V: 4.3 A, fuse 6.3 A\n1 kW at 120 V: 8.3 A, fuse 12 A\nslow, breaking 1.5 kA or more.\nConductors after local code,\n1.5 mm² copper or more.\nK1 and Q2 break both poles: some\nplugs go in either way round.',
  );
  words(sheet, 'head', [40, 1110], 'Why it fails open');
  words(
    sheet,
    'small',
    [40, 1132],
    `${pins.GUARD}, ${pins.REGULATING} active high: R1, R2 hold\nthem low in reset, in the boot-\nloader, unplugged. G1 has no\nbattery: mains gone, K1 drops.\nF3 and S1 open the circuit\nwithout any program.\nV2 with V3 lets K1 drop at once:\na diode alone would delay it.\nNo capacitor across K1: it would\nleak round the open guard.`,
  );
  words(sheet, 'head', [1390, 1066], 'One switch only');
  words(
    sheet,
    'small',
    [1390, 1088],
    `Without K1, U1, V1 to V3, R2 to R5,\nS1: image one-switch.hex; ${pins.GUARD} stays\nopen. A switch that welds shut is\nthen stopped by F3 alone.\nFOR ATTENDED USE ONLY.`,
  );
  words(sheet, 'head', [1390, 1206], 'Colours of conductors');
  words(
    sheet,
    'small',
    [1390, 1228],
    'IEC: brown L, blue N, green-yellow PE\nNorth America: black L, white N,\ngreen or bare PE',
  );
}
