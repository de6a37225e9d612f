import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { need } from '../need.mjs';

const CORE = fileURLToPath(new URL('../../hardware/firmware/core/', import.meta.url));
const HERE = fileURLToPath(new URL('./firmware-core/', import.meta.url));
const out = mkdtempSync(join(tmpdir(), 'firmware-core-'));

beforeAll(() => need('gcc', 'gcc'));
afterAll(() => rmSync(out, { recursive: true, force: true }));

function compileAndRun(name: string, ...others: string[]): string {
  const program = join(out, name);
  const sources = [
    join(HERE, `${name}.c`),
    join(HERE, 'fake_hal.c'),
    ...others.map((each) => join(CORE, each)),
  ];
  const flags = ['-std=gnu99', '-O1', '-Wall', '-Wextra', '-Werror', '-include', join(CORE, 'config.h')];
  execFileSync('gcc', [...flags, `-I${CORE}`, `-I${HERE}`, ...sources, '-o', program], { stdio: 'pipe' });
  return execFileSync(program, { encoding: 'utf8' });
}

// What takes 49 days, 70,000 trips or a power cut at one certain byte is shown on the portable parts alone.
describe('portable parts of the firmware', () => {
  it('open each switch at its tick for every duration, across the wrap of the clock, and when bits flip in memory', () => {
    expect(compileAndRun('lease_test')).toBe('ok\n');
  });

  it('never repeat a nonce across resets, and never take an old one for young', () => {
    expect(compileAndRun('nonce_test')).toBe('ok\n');
  });

  it('keep the latch when power is cut at any byte, when cells wear out and when numbers go round', () => {
    expect(compileAndRun('latch_test', 'crc.c')).toBe('ok\n');
  });

  it('agree with the data sheets on temperature codes, CRCs, the power-on value and the ROM search', () => {
    expect(compileAndRun('wire_test', 'crc.c', 'pack7.c', 'scratchpad.c', 'search.c')).toBe('ok\n');
  });
});
