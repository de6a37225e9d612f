import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { need } from '../need.mjs';
import { FirmwareRig, rom } from './firmware-rig.ts';
import { BLOCK, CAUSE, CODE, ID, make } from './firmware-wire.ts';

const FIRMWARE = fileURLToPath(new URL('../../hardware/firmware/', import.meta.url));
const out = mkdtempSync(join(tmpdir(), 'firmware-'));

// The compiler the images were made with: another writes other, equally right bytes.
const COMPILER = '5.4.0';

beforeAll(async () => {
  await need('gcc-avr avr-libc', 'avr-gcc');
  await need('make', 'make');
  execFileSync('make', ['-C', FIRMWARE, `OUT=${out}`], { stdio: 'pipe' });
});
afterAll(() => rmSync(out, { recursive: true, force: true }));

describe('committed images', () => {
  it.each(['two-switch', 'one-switch'])('%s.hex is what the source compiles to, bit for bit', (name) => {
    const version = execFileSync('avr-gcc', ['-dumpversion'], { encoding: 'utf8' }).trim();
    expect(version, `Compare with avr-gcc ${COMPILER}, or renew the images with "make image"`).toBe(COMPILER);
    expect(readFileSync(join(out, `${name}.hex`), 'utf8')).toBe(
      readFileSync(join(FIRMWARE, 'image', `${name}.hex`), 'utf8'),
    );
  });

  it('leave a quarter of the chip free: 24 KiB of flash, and 400 bytes of memory for the stack', () => {
    const size = execFileSync('avr-size', [join(out, 'two-switch.elf')], { encoding: 'utf8' });
    const [text, data, bss] = size.split('\n')[1]!.trim().split(/\s+/).map(Number);
    expect(text! + data!).toBeLessThan(24 * 1024);
    expect(data! + bss!).toBeLessThan(2048 - 400);
  });

  it('drive both switch pins low in the first four instructions after the reset vector', () => {
    const listing = execFileSync('avr-objdump', ['-d', join(out, 'two-switch.elf')], { encoding: 'utf8' });
    const target = /^\s*0:\s.*jmp\s+0x([0-9a-f]+)/m.exec(listing)![1]!;
    const from = listing.search(new RegExp(`^\\s*${target}:\\s`, 'm'));
    const first = listing
      .slice(from)
      .split('\n')
      .slice(0, 4)
      .map((line) => line.split('\t').slice(2, 4).join(' ').trim());
    // PORTD 0x0b, DDRD 0x0a, PORTB 0x05, DDRB 0x04: ATmega328P datasheet, "Register Summary".
    expect(first).toEqual(['cbi 0x0b, 7', 'sbi 0x0a, 7', 'cbi 0x05, 0', 'sbi 0x04, 0']);
  });
});

describe('memory', () => {
  it('keeps 200 bytes between the variables and the deepest the stack goes, whatever the board is asked', () => {
    const symbols = execFileSync('avr-nm', [join(out, 'two-switch.elf')], { encoding: 'utf8' });
    // Data addresses carry 0x800000 in this toolchain.
    const variablesEnd = Number.parseInt(/^([0-9a-f]+) . __heap_start$/m.exec(symbols)![1]!, 16) & 0xffff;
    const rig = new FirmwareRig({ probes: [1, 2, 3].map((n) => ({ rom: rom(n), celsius: () => 60 })) });
    rig.connect();
    const { cpu } = rig.board.chip.core;
    // The first two bytes hold the firmware's own mark; the last 40 are in use now.
    cpu.data.fill(0xa7, variablesEnd + 2, cpu.SP - 40);
    for (let round = 0; round < 10; round++) {
      rig.send([0xf0, 0x6b, 0xf7, 0xf0, 0x69, 0xf7, 0xf0, 0x79, 0xf7, 0xf0, 0x6d, 3, 0xf7]);
      rig.heat(1);
    }
    rig.send([0xff]);
    for (let round = 0; round < 10; round++) {
      rig.send([
        0xf0,
        0x73,
        0x40,
        2,
        0xf7,
        0xf0,
        0x73,
        0x3f,
        2,
        ...Array.from({ length: 30 }, (_, i) => i),
        0xf7,
      ]);
      rig.advance(150);
    }
    rig.send([...make.trip(3), ...make.sounder(2, 3)]);
    rig.advance(3000);
    const untouched = cpu.data.subarray(variablesEnd + 2).findIndex((byte) => byte !== 0xa7);
    expect(untouched).toBeGreaterThan(200);
    expect(rig.status.latchedCause).toBe(CAUSE.host);
  });
});

describe('one table', () => {
  const page = readFileSync(join(FIRMWARE, 'PROTOCOL.md'), 'utf8');
  const headers = readdirSync(join(FIRMWARE, 'core'))
    .filter((name) => name.endsWith('.h'))
    .map((name) => readFileSync(join(FIRMWARE, 'core', name), 'utf8'))
    .join('\n');
  const rows = (heading: string): Map<number, string> => {
    const section = page.slice(page.indexOf(heading)).split(/\n#{2,3} /)[0]!;
    return new Map(
      [...section.matchAll(/^\| (\d+|0x[0-9A-F]+) \| ([\w -]+?) \|/gm)].map((row) => [
        Number(row[1]),
        row[2]!,
      ]),
    );
  };
  const inC = (pattern: RegExp): Map<string, number> =>
    new Map(
      [...headers.matchAll(pattern)].map((found) => [
        found[1]!.replaceAll('_', '').toLowerCase(),
        Number(found[2]),
      ]),
    );
  const plain = (name: string): string => name.replaceAll(/[ -]/g, '').toLowerCase();

  it.each([
    ['ids', '## 2. Table', ID, /ID_(?!LAST)(\w+) (0x\w+)/g],
    ['answer codes', '## 3. Answer codes', CODE, /CODE_(\w+) = (\d+)/g],
    ['causes', '## 5. Causes of a trip', CAUSE, /CAUSE_(\w+) = (\d+)/g],
  ] as const)(
    '%s are the same in the firmware, on the page and in the tests',
    (_, heading, inTests, pattern) => {
      const onPage = rows(heading);
      const named = new Map(Object.entries(inTests).map(([name, value]) => [plain(name), value as number]));
      const short = new Map([['limitsreadback', 'readback']]);
      const fromPage = new Map(
        [...onPage].map(([value, name]) => [short.get(plain(name)) ?? plain(name), value]),
      );
      expect(fromPage).toEqual(named);
      expect(inC(pattern)).toEqual(named);
    },
  );

  it('block bits are the same in the firmware, on the page and in the tests', () => {
    const fromPage = [...rows('## 4. `blocks`')].map(([bit, name]) => [name, 2 ** bit]);
    expect(Object.fromEntries(fromPage)).toEqual(BLOCK);
    const values = [...headers.matchAll(/#define BLOCK_\w+ (0x\w+)/g)].map((found) => Number(found[1]));
    expect(values).toEqual(Object.values(BLOCK));
  });
});
