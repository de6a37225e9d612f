import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { HAZARD_LEDGER, ledgerTable } from '../../shared/hazard/ledger.ts';
import { TENDER_LEDGER } from '../../shared/tender/ledger.ts';

const MARK = '<!-- ledger: made from ledger.ts, checked by tests/standards/papers.test.ts -->\n';

/** Cells of a Markdown table, whatever its padding. */
const cells = (table: string) =>
  table
    .split('\n')
    .filter((line) => !/^[|\s-]+$/.test(line))
    .map((line) => line.split('|').map((cell) => cell.trim()));

describe('"How it knows"', () => {
  for (const [folder, ledger] of [
    ['hazard', HAZARD_LEDGER],
    ['tender', TENDER_LEDGER],
  ] as const) {
    it(`stands in the README of ${folder} as its records have it`, () => {
      const text = readFileSync(new URL(`../../shared/${folder}/README.md`, import.meta.url), 'utf8');
      const written = text.slice(text.indexOf(MARK) + MARK.length).trim();
      expect(cells(written)).toEqual(cells(ledgerTable(ledger)));
    });

    it(`names for each model of ${folder} a source, a range, a check and a weakness`, () => {
      for (const entry of ledger) {
        for (const field of Object.values(entry)) expect(field.length).toBeGreaterThan(8);
      }
    });
  }
});
