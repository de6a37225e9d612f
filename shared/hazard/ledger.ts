/** One model of this program: where it comes from, where it holds, how it was checked, where it is weak. */
export interface LedgerEntry {
  readonly model: string;
  readonly source: string;
  readonly range: string;
  readonly check: string;
  readonly weakness: string;
}

/** How the hazard models know what they say; the table in the documents is made from this. */
export const HAZARD_LEDGER: readonly LedgerEntry[] = [
  {
    model: 'Lethality by tables (red meat 6.5 and 7 log, poultry 7 log by fat)',
    source: 'USDA FSIS-GD-2021-0014 Tables 2, 3, 4; FDA Food Code 3-401.11',
    range: '54.4 to 70.0 C (meat), 57.8 to 73.9 C (poultry); nothing below, nothing faster above',
    check: 'every published row held for its time, by the words and by the integral',
    weakness:
      'Printed rows are rounded. A 2018 study found the 54.4 C row short for organisms other than Salmonella. The poultry fits have a shoulder, so the sum of short holds is an equivalent, not the table.',
  },
  {
    model: 'Lethality by D and z',
    source:
      'published D and z by organism and food, named in each record; FDA fish hazards guide A-3 and A-4',
    range: 'the temperatures each was measured at',
    check: 'published points against the line; FDA and UK tables row by row; a worked general-method example',
    weakness:
      'Laboratory strains in ground meat; slow warming can make cells two to three times more resistant; the FDA tables are from memory, recomputed.',
  },
  {
    model: 'Growth of C. perfringens',
    source: 'Juneja et al. 2011 and Le Marc et al. 2008, in the form of Baranyi & Roberts 1994',
    range: '10 to 54 C, uncured meat',
    check: 'published rates; FSIS cooling option 1 keeps within 1 log',
    weakness:
      'The unit of one rate is not stated in its source; the other takes its spore state from the first. The faster is told. Other growing bacteria are covered by the time limits only.',
  },
  {
    model: 'Come-up, holding, cooling limits',
    source: 'FDA Food Code 3-501.14, 3-501.16; USDA FSIS Appendices A and B (2021); Victoria (Australia)',
    range: 'the core as modelled or measured',
    check: 'limits crossed exactly and by one second more or less; worked cooling histories',
    weakness: 'They judge the core only; the surface of a bag that floats is not modelled.',
  },
  {
    model: 'Cooling of a chilled bag by core readings',
    source:
      'FDA Food Code 3-501.14, 3-502.12; USDA FSIS Appendix B (2021); own rule: worst case between readings',
    range: 'bags taken out to chill, any number of readings by hand',
    check: 'each rule kept and broken by a minute more or less through the real tick; late entry; replay',
    weakness:
      'Between readings nothing is known, so sparse readings break a rule that may have been kept. The thermometer counts as right within 1 C.',
  },
  {
    model: 'Envelope of a bag',
    source:
      'spreads of thickness, diffusivity, film, start, probe and D named in shared/hazard/envelope.ts; first-order reliability method',
    range: 'foods of the conduction model; three cases, probe of either sign',
    check:
      'Monte Carlo on cooks with dips, outages and ice: every hazard covers at least 99 % of draws at each half hour; slowest come-up at most 1.3 times the 99th percentile',
    weakness:
      'The spreads are partly from memory. It does not know of two pieces that touch, of a pocket of still water, or of a probe that lies elsewhere than the bag.',
  },
];

/** A ledger as a Markdown table, one line a model. */
export function ledgerTable(entries: readonly LedgerEntry[]): string {
  const rows = entries.map((e) => `| ${e.model} | ${e.source} | ${e.range} | ${e.check} | ${e.weakness} |`);
  return ['| model | source | range | check | known weakness |', '|---|---|---|---|---|', ...rows].join('\n');
}
