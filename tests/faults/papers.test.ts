import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { UNSEEN } from '../../shared/bath/unseen.ts';
import { KINDS } from './kinds.ts';
import { foundPart, madeParts } from './tables.ts';

describe('the papers of supervision', () => {
  for (const part of madeParts()) {
    it(`say what the code has: ${part.name} in ${part.paper} (else: node --import tsx tests/faults/write-tables.ts)`, () => {
      expect(foundPart(part)).toEqual(part.lines);
    });
  }

  it('have results of the whole campaign: every kind of fault of now, ten sound cooks a seed, date and machine', () => {
    const text = readFileSync('tests/faults/RESULTS.md', 'utf8');
    for (const { id } of KINDS) expect(text, id).toContain(`| ${id} |`);
    expect(text).toMatch(/\d{4}-\d\d-\d\d, .+Node v\d+/);
    const told = text.match(/(\d+) kinds of fault x (\d+) seeds and (\d+) sound cooks/);
    const [kinds, seeds, sound] = (told?.slice(1) ?? []).map(Number);
    expect(kinds).toBe(KINDS.length);
    expect(seeds).toBeGreaterThanOrEqual(100);
    expect(sound).toBe(10 * seeds!);
    expect(text).toContain('**Every limit that nothing excuses was kept.**');
  });
});

describe('the list of what no rig can see', () => {
  it('excuses a limit of a fault only by an entry, which says why and what helps', () => {
    for (const { id, excuses } of KINDS) {
      for (const { why, floor } of excuses ?? []) {
        expect(UNSEEN[why], id).toBeDefined();
        expect(floor).toBeGreaterThanOrEqual(0);
        expect(floor).toBeLessThan(1);
      }
    }
    for (const { fault, rigs, why, help } of Object.values(UNSEEN))
      for (const words of [fault, rigs, why, help]) expect(words).toMatch(/^[A-Z].*\.$/);
  });
});
