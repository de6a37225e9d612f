import { execFile } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { promisify } from 'node:util';
import { beforeAll, describe, expect, it } from 'vitest';
import { parseIntelHex } from '../../hardware/emulator/avr/hex.ts';
import { need } from '../need.mjs';
import { fakeChip } from './deploy-bootloader.ts';

const run = promisify(execFile);
const paper = readFileSync('hardware/deploy/README.md', 'utf8');
const firmwarePaper = readFileSync('hardware/firmware/README.md', 'utf8');
/** Every avrdude command of a paper, without `sudo`. */
const commandsOf = (text: string) =>
  [...text.matchAll(/^ *(?:sudo )?(avrdude -c .*)$/gm)].map((match) => match[1]!.split(/\s+/).slice(1));
const commands = commandsOf(paper);
const isp = commands.filter((one) => one.includes('usbasp'));
const usb = commands.filter((one) => one.includes('arduino'));

/** The command with another programmer, or with the port moved to the stand-in; all else as printed. */
function aimed(command: readonly string[], port: number, programmer?: string): string[] {
  const changed = [...command];
  if (programmer) changed[changed.indexOf('-c') + 1] = programmer;
  const at = changed.indexOf('-P');
  if (at < 0) return [...changed, '-P', `net:127.0.0.1:${port}`];
  changed[at + 1] = `net:127.0.0.1:${port}`;
  return changed;
}

describe('the flashing commands', () => {
  beforeAll(() => need('avrdude', 'avrdude'));
  const { words } = parseIntelHex(readFileSync('hardware/firmware/image/two-switch.hex', 'utf8'));
  const image = Buffer.from(words.buffer, words.byteOffset, words.byteLength);

  it('are two for a programmer and one over USB', () => {
    expect(isp).toHaveLength(2);
    expect(usb).toHaveLength(1);
  });

  it('set the three fuses that the firmware asks for, each in its own place', async () => {
    const chip = await fakeChip();
    await run('avrdude', aimed(isp[0]!, chip.port, 'stk500v1'));
    expect(chip.fuses).toEqual({ low: 0xff, high: 0xc7, extended: 0xfc });
    await chip.close();
  });

  for (const [name, command, programmer] of [
    ['by a programmer', isp[1], 'stk500v1'],
    ['over USB', usb[0], undefined],
  ] as const) {
    it(`put every byte of the committed image into the chip ${name}, and read it back`, async () => {
      const chip = await fakeChip();
      const { stderr } = await run('avrdude', aimed(command!, chip.port, programmer));
      expect(stderr).toMatch(/verified/);
      expect(Buffer.from(chip.flash).equals(image)).toBe(true);
      expect(chip.fuses).toEqual({ low: 0xff, high: 0xde, extended: 0xfd });
      await chip.close();
    });
  }

  it('say no other fuses than the paper of the firmware', () => {
    const fuses = (all: string[][]) =>
      [...new Set(all.flat().filter((word) => /^[lhe]fuse:/.test(word)))].sort();
    expect(fuses(commands)).toEqual(['efuse:w:0xFC:m', 'hfuse:w:0xC7:m', 'lfuse:w:0xFF:m']);
    expect(fuses(commandsOf(firmwarePaper))).toEqual(fuses(commands));
  });

  it('name the same programmers, part and speed as the paper of the firmware', () => {
    const settings = (all: string[][]) =>
      [
        ...new Set(
          all.flatMap((one) =>
            ['-c', '-p', '-b'].flatMap((flag) =>
              one.includes(flag) ? [`${flag} ${one[one.indexOf(flag) + 1]}`] : [],
            ),
          ),
        ),
      ].sort();
    expect(settings(commands)).toEqual(settings(commandsOf(firmwarePaper)));
  });

  it('would be noticed if a byte of the image were wrong', async () => {
    const chip = await fakeChip();
    await run('avrdude', aimed(usb[0]!, chip.port));
    chip.flash[100]! ^= 1;
    const check = aimed(usb[0]!, chip.port).map((word) => word.replace('flash:w:', 'flash:v:'));
    await expect(run('avrdude', check)).rejects.toThrow(/mismatch|verification error/i);
    await chip.close();
  });
});
