/**
 * Firmware with one check loosened at a time, to show that fuzz and ledger see it. Each is a copy of the source with one
 * replacement, compiled with avr-gcc. Part of the campaign, too long for every change.
 */
import { execFileSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** One loosened check. */
export interface Mutant {
  name: string;
  file: string;
  from: string;
  to: string;
}

export const MUTANTS: readonly Mutant[] = [
  {
    name: 'a lease lasts 1 ms longer',
    file: 'core/lease.c',
    from: 'left = (uint16_t)(duration_ms - age);',
    to: 'left = (uint16_t)(duration_ms - age + 1);',
  },
  {
    name: 'both may stay closed for 2.1 s',
    file: 'core/lease.c',
    from: 's.cap = (uint16_t)(LEASE_MAX_MS - age);',
    to: 's.cap = (uint16_t)(LEASE_MAX_MS + 100 - age);',
  },
  { name: 'nonces live for 760 ms', file: 'core/config.h', from: 'MAX_AGE_MS 700u', to: 'MAX_AGE_MS 760u' },
  {
    name: 'a nonce may be used twice',
    file: 'core/nonce.c',
    from: 'kept[at].verdict = NONCE_SPENT;',
    to: 'kept[at].verdict = NONCE_GOOD;',
  },
  {
    name: 'the CRC is not looked at',
    file: 'core/messages.c',
    from: 'if (!sound || crc != get16(packed + total - 2))',
    to: 'if (!sound)',
  },
  {
    name: 'fill bits are not looked at',
    file: 'core/pack7.c',
    from: 'return held ? -1 : out;',
    to: 'return out;',
  },
  {
    name: 'any session token will do',
    file: 'core/permit.c',
    from: 'if (!session || get16(body + 5) != session)',
    to: 'if (!session)',
  },
  {
    name: 'limits need not be read back',
    file: 'core/permit.c',
    from: 'if (!session || get16(body + 5) != session)',
    to: 'if (session == 77)',
  },
  {
    name: 'a latched trip does not refuse leases',
    file: 'core/permit.c',
    from: 'if (latch_cause() != CAUSE_NONE) return (answer_t){CODE_LATCHED, latch_cause()};\n  uint16_t blocks = conditions_blocks(now_ms);',
    to: 'uint16_t blocks = conditions_blocks(now_ms) & (uint16_t)~BLOCK_LATCHED;',
  },
  { name: 'the guard leads by 99 ms', file: 'core/config.h', from: 'LEAD_MS 100', to: 'LEAD_MS 99' },
  { name: 'six bad leases before a trip', file: 'core/config.h', from: 'BUCKET 5', to: 'BUCKET 6' },
  { name: 'release does nothing', file: 'core/permit.c', from: '\n  lease_release();', to: '' },
  {
    name: 'a trip opens one switch after the other',
    file: 'core/conditions.c',
    from: '{\n  lease_open_all();\n  if (latch',
    to: '{\n  lease_release();\n  if (latch',
  },
  {
    name: 'new limits leave the lease in force',
    file: 'core/messages.c',
    from: '{\n  link_end();\n  uint8_t outside',
    to: '{\n  limits_forget();\n  uint8_t outside',
  },
  { name: 'a system reset leaves the session', file: 'core/firmata.c', from: '      link_end();\n', to: '' },
  {
    name: 'a message too long is cut and heard',
    file: 'core/parser.c',
    from: 'if (too_long || !length) return;',
    to: 'if (!length) return;',
  },
];

/** The two-switch image of a mutant. Throws when the replacement does not fit the source any more. */
export function compileMutant(firmware: string, mutant: Mutant): string {
  const work = mkdtempSync(join(tmpdir(), 'mutant-'));
  try {
    for (const part of ['core', 'avr', 'Makefile'])
      cpSync(join(firmware, part), join(work, part), { recursive: true });
    const path = join(work, mutant.file);
    const source = readFileSync(path, 'utf8');
    const changed = source.replace(mutant.from, () => mutant.to);
    if (changed === source)
      throw new Error(`"${mutant.from}" is not in ${mutant.file} any more: renew "${mutant.name}".`);
    writeFileSync(path, changed);
    execFileSync('make', ['-C', work, 'build/two-switch.hex'], { stdio: 'pipe' });
    return readFileSync(join(work, 'build', 'two-switch.hex'), 'utf8');
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
}
