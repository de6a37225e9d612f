import { describe, expect, it } from 'vitest';
import { BATH_PROBE_ROMS, romBytes, romHex } from '../../hardware/emulator/index.ts';
import { say } from '../control/cook.ts';
import { compileMutant } from './firmware-mutants.ts';
import { firmwareFolder, image } from './firmware-rig.ts';
import { type BenchParts, boardCook, boardRig, WANTED } from './rig-bench.ts';

const BATH = romHex(BATH_PROBE_ROMS.bath);
const SPARE = romBytes(0x0000_c000_0009);
/** Family 10: another kind of 1-Wire thermometer, with another meaning of its bytes (data sheet DS18S20). */
const OTHER_KIND = romBytes(0x0000_d000_0001, 0x10);
const BAG = 'lamb-1';

/** A cook that heats from 40 degC with a bag in; further devices lie beside the bath, unplugged. */
async function heating(parts: BenchParts = {}) {
  const cook = await boardCook(40, parts);
  for (const { rom } of parts.others ?? []) cook.board.faults.unplugProbe(romHex(rom));
  cook.run(3);
  cook.say(say.start(60));
  cook.say(say.bagIn(BAG, 'lamb-shoulder', 55, 1.1));
  heats(cook);
  return cook;
}

/** Runs until heat is on; heat comes in pulses. */
function heats(cook: Awaited<ReturnType<typeof boardCook>>, mostS = 60): void {
  for (let s = 0; s < mostS && !cook.board.heaterClosed; s++) cook.run(1);
  expect(cook.board.heaterClosed).toBe(true);
}

/** Nothing of the cook is lost: it runs, and its bag is in it. */
function nothingLost(cook: Awaited<ReturnType<typeof boardCook>>): void {
  expect(cook.state().cook?.endedAtMs).toBeNull();
  expect(cook.state().bags.map((bag) => bag.spec.bagId)).toEqual([BAG]);
}

const heatFor = (cook: Awaited<ReturnType<typeof boardCook>>, seconds: number): number => {
  const beforeMs = cook.board.heaterClosedMs;
  cook.run(seconds);
  return cook.board.heaterClosedMs - beforeMs;
};

describe('trouble on the probe wires while a cook heats through the emulated board', () => {
  it('a probe swapped for another: heat off within 3 s, both named, and heat again once the old one is back', async () => {
    const cook = await heating({ others: [{ rom: SPARE, celsius: () => 40 }] });
    const { faults } = cook.board;
    faults.unplugProbe(BATH);
    faults.plugProbe(romHex(SPARE));
    cook.run(3);
    expect(cook.board.heaterClosed).toBe(false);
    expect(heatFor(cook, 20)).toBe(0);
    const { board, readings } = cook.inputs.at(-1)!;
    expect(board.leaseRefused).toMatch(new RegExp(`${BATH} is gone.*${romHex(SPARE)}.*swapped`));
    expect(readings.bath.celsius).toBeNull();
    expect(
      cook
        .state()
        .alarms.filter(({ active }) => active)
        .map(({ alarmId }) => alarmId),
    ).toEqual(expect.arrayContaining(['probe-invalid', 'heat-link-lost']));
    nothingLost(cook);
    faults.unplugProbe(romHex(SPARE));
    faults.plugProbe(BATH);
    cook.run(20);
    heats(cook);
    expect(cook.inputs.at(-1)!.board).toMatchObject({ latched: null, leaseRefused: null });
  });

  it('a device of another kind: no heat while it hangs there, its family named, heat again without it', async () => {
    const cook = await heating({ others: [{ rom: OTHER_KIND, celsius: () => 40 }] });
    cook.board.faults.plugProbe(romHex(OTHER_KIND));
    cook.run(15);
    expect(heatFor(cook, 20)).toBe(0);
    const { board } = cook.inputs.at(-1)!;
    expect(board.leaseRefused).toMatch(
      new RegExp(`family 10, not a DS18B20.*${romHex(OTHER_KIND)}.*Unplug it`),
    );
    // It is not taken for a reading of anything.
    expect(cook.inputs.at(-1)!.readings.bath.quality).toBe('good');
    nothingLost(cook);
    cook.board.faults.unplugProbe(romHex(OTHER_KIND));
    cook.run(20);
    heats(cook);
  });

  it('two bath probes 4 K apart: heat off within 90 s, both readings told, and heat again once they agree', async () => {
    const cook = await heating();
    cook.rig.plant?.apply({ kind: 'probe', probe: 'second', fault: 'offset' });
    cook.run(90);
    expect(heatFor(cook, 20)).toBe(0);
    const told = cook.inputs.at(-1)!.board.leaseRefused ?? '';
    const [, bathC, secondC] = /disagree: ([\d.]+) and ([\d.]+) °C/.exec(told) ?? [];
    expect(Math.abs(Number(bathC) - Number(secondC))).toBeGreaterThan(3);
    nothingLost(cook);
    cook.rig.plant?.apply({ kind: 'probe', probe: 'second', fault: 'none' });
    cook.run(30);
    expect(cook.inputs.at(-1)!.board.leaseRefused).toBeNull();
  });
});

describe('a board that does not match', () => {
  const said = (parts: BenchParts): Promise<string> =>
    boardRig(40, parts).then(
      () => 'it came up',
      (error: Error) => error.message,
    );

  it('with firmware of another version is refused with both versions named', async () => {
    const file = 'core/config.h';
    const newer = { name: 'newer', file, from: 'FIRMWARE_MINOR 1', to: 'FIRMWARE_MINOR 2' };
    expect(await said({ hex: compileMutant(firmwareFolder(), newer) })).toMatch(
      /runs firmware 0\.2\.0, protocol 1; expected 0\.1\.x/,
    );
    const wider = { name: 'wider', file, from: 'PROTOCOL_VERSION 1', to: 'PROTOCOL_VERSION 2' };
    expect(await said({ hex: compileMutant(firmwareFolder(), wider) })).toMatch(
      /protocol 2; expected .*protocol 1/,
    );
  });

  it('whose ceilings are tighter than the limits of this rig is refused, and the field is named', async () => {
    const file = 'core/config.h';
    const tight = { name: 'tight', file, from: 'CEILING_MAX_RAW 1520', to: 'CEILING_MAX_RAW 1300' };
    expect(await said({ hex: compileMutant(firmwareFolder(), tight) })).toMatch(/Outside: maxRaw/);
  });

  it('with one switch is refused unless somebody stays beside it', async () => {
    const hex = image('one-switch');
    expect(await said({ hex })).toMatch(/one switch only, for attended use/);
    const { rig, bath } = await boardRig(40, { hex, wanted: { ...WANTED, attended: true } });
    // It heats with the one it has, is asked for no other, and tells of none.
    for (let second = 3; second < 8; second++) {
      expect(rig.read(second * 1000).board).toMatchObject({ guardClosed: null, leaseRefused: null });
      rig.heat({ ms: 1600 }, second * 1000);
    }
    expect(rig.read(8000).board.regulatingClosed).toBe(true);
    expect(bath.board.switches.closed('guard')).toBe(false);
    // Between pulses nothing is left closed that could stand by.
    rig.heat(null, 8000, true);
    expect(rig.read(9000).board.regulatingClosed).toBe(false);
    await rig.close();
  });
});
