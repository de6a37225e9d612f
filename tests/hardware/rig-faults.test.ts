import { describe, expect, it } from 'vitest';
import { portFault } from '../../controller/rig/usb/port-fault.ts';
import { busFault, PairWatch } from '../../controller/rig/usb/roles.ts';
import type { ProbeView } from '../../controller/rig/usb/view.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { romBytes } from '../../hardware/emulator/index.ts';
import type { Command } from '../../shared/wire/command.ts';
import { romText } from '../../shared/wire/rom.ts';
import { say } from '../control/cook.ts';
import { boardCook, ROLES, ROM } from './rig-bench.ts';

const STRANGER = romText(romBytes(0x0000_c000_0009));

const probe = (rom: string, celsius: number | null, arrivedMs = 0): ProbeView => ({
  rom,
  celsius,
  quality: celsius === null ? 'absent' : 'good',
  why: null,
  foreign: !rom.startsWith('28'),
  sequence: 1,
  arrivedMs,
});

/** A cook that heats from 40 degC towards 60. */
async function heating() {
  const cook = await boardCook(40);
  cook.run(3);
  cook.say(say.start(60));
  // Heat comes in pulses: the moment is just after one has begun.
  for (let s = 0; s < 60 && !cook.board.heaterClosed; s++) cook.run(1);
  expect(cook.board.heaterClosed).toBe(true);
  return cook;
}

describe('faults at the rig while heating', () => {
  it('clears the cut of the board only after a person said so, and not while its cause stands', async () => {
    const cook = await heating();
    cook.board.waterPresent = false;
    cook.run(5);
    expect(cook.board.heaterClosed).toBe(false);
    expect(cook.inputs.at(-1)!.board.latched).toMatch(/water stood too low/);
    cook.say(say.clear('heat-link-lost'));
    cook.run(3);
    // The refusal is told where the cut is told: in the words of the alarm.
    expect(cook.inputs.at(-1)!.board.latched).toMatch(/asked to clear that and did not: .*water is too low/);
    const alarm = statusOf(cook.state()).alarms.find(({ alarmId }) => alarmId === 'heat-link-lost');
    expect(alarm).toMatchObject({ active: true, boardHolds: true });
    expect(alarm?.detail).toMatch(/asked to clear that and did not/);
    cook.board.waterPresent = true;
    cook.run(10);
    expect(cook.inputs.at(-1)!.board.latched).not.toBeNull();
    cook.say(say.clear('heat-link-lost'));
    cook.run(3);
    expect(cook.inputs.at(-1)!.board.latched).toBeNull();
  });

  it('asks the board to clear its cut only for somebody who stands at the bath', async () => {
    const cook = await heating();
    cook.board.waterPresent = false;
    cook.run(5);
    cook.board.waterPresent = true;
    cook.run(3);
    const fromAfar = { ...say.clear('heat-link-lost'), atBath: false } as Command;
    expect(cook.say(fromAfar).results[0]).toMatchObject({ accepted: false, code: 'not-at-bath' });
    cook.run(3);
    expect(cook.inputs.at(-1)!.board.latched).toMatch(/water stood too low/);
  });

  it('keeps the latch across a reset of the board', async () => {
    const cook = await heating();
    cook.board.waterPresent = false;
    cook.run(5);
    cook.board.waterPresent = true;
    cook.board.faults.pressReset();
    cook.run(8);
    const { board } = cook.inputs.at(-1)!;
    expect(board.link).toBe('up');
    expect(board.latched).toMatch(/water stood too low/);
    expect(cook.board.heaterClosed).toBe(false);
  });

  it('takes up a cook again by itself after a reset of the board, with the limits set anew', async () => {
    const cook = await heating();
    cook.board.faults.pressReset();
    const beforeMs = cook.board.heaterClosedMs;
    cook.run(60);
    expect(cook.board.heaterClosedMs - beforeMs).toBeGreaterThan(5000);
    expect(cook.inputs.at(-1)!.board.latched).toBeNull();
  });

  it('opens the circuit at once when a person stops the heat', async () => {
    const cook = await heating();
    cook.say(say.stop());
    cook.run(1);
    expect(cook.board.heaterClosed).toBe(false);
    cook.run(5);
    expect(cook.board.heaterClosed).toBe(false);
  });

  it('sends one lease a tick and never repeats one: when ticks end, the circuit opens within 2 s', async () => {
    const cook = await heating();
    const fromMs = cook.board.nowMs;
    cook.board.advanceTo(fromMs + 2000);
    expect(cook.board.heaterClosed).toBe(false);
  });
});

describe('words for faults of probes and ports', () => {
  it('name a device of another kind on the probe wires', () => {
    const foreign = { ...probe('10A1B2C3D4E5F600', null), why: 'a device of family 10, not a DS18B20' };
    expect(busFault([probe(ROM.bath, 60), foreign], ROLES, 0)).toMatch(/family 10.*Unplug it/);
    expect(busFault([probe(ROM.bath, 60), probe(STRANGER, 20)], ROLES, 0)).toBeNull();
  });

  it('say that two bath probes disagree after a minute of more than 3 K, and not for a passing difference', () => {
    const watch = new PairWatch();
    for (let s = 0; s < 59; s++) expect(watch.at(61, 55, s * 1000)).toBeNull();
    expect(watch.at(61, 60, 59_000)).toBeNull();
    for (let s = 60; s < 120; s++) expect(watch.at(61, 55, s * 1000)).toBeNull();
    expect(watch.at(61, 55, 120_000)).toMatch(/61\.0 and 55\.0/);
    expect(watch.at(61, null, 121_000)).toBeNull();
  });

  it.each([
    ['Permission denied, cannot open /dev/ttyACM0', 'rig-port-denied'],
    ['Access denied', 'rig-port-denied'],
    ['Error Resource temporarily unavailable Cannot lock port', 'rig-port-busy'],
    ['Device or resource busy, cannot open /dev/ttyACM0', 'rig-port-busy'],
    ['No such file or directory, cannot open /dev/ttyACM0', 'rig-port-missing'],
  ])('turn "%s" into %s', (message, code) => {
    expect(portFault('/dev/ttyACM0', message)).toMatchObject({ code });
  });
});
