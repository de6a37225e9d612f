/** How the tenderness models know what they say; same columns as the hazard ledger. */
export const TENDER_LEDGER = [
  {
    model: 'Softening: equivalent hours at 70 C',
    source:
      'two pork shoulder reports at 60 to 96 C (secondary sources), Arrhenius fit 95.8 kJ/mol; spread 20 carried along',
    range: '57 to 88 C at the core; nothing below 55 C, full rate from 58 C',
    check: 'rate factors and hours by class at six temperatures as tabulated',
    weakness: 'Few data, pork only. The slope is 73 kJ/mol between 60 and 80 C alone; the spread covers it.',
  },
  {
    model: 'Ready time by class',
    source: 'log-normal priors by class; sources in each record, several from memory',
    range: 'tough cuts; tender ones have no class',
    check: 'worked posteriors; intervals of published experiments; a fact of the trade on dark poultry legs',
    weakness:
      'The 10 to 90 % span before any fork test is about as wide as its middle. Salt and the age of the animal are not in it.',
  },
  {
    model: 'Learning from fork tests',
    source: 'interval-censored likelihood (Turnbull 1976; Finkelstein & Wolfe 1985), posterior on a grid',
    range: 'any number of tests and pieces',
    check:
      '94 published rows: Turnbull curve and log-normal fit; coverage of the 10 to 90 % span by simulation',
    weakness:
      'A misreport floor of 2 % and the meaning of "nearly" (within 40 % more softening) are judgement.',
  },
  {
    model: 'Moisture loss',
    source: 'pork shoulder experiment (secondary source), first order in time after Oillic et al. 2011',
    range: '60 to 85 C',
    check: 'the four published losses inside the band',
    weakness: 'Plus or minus 6 points; salt, freezing and pieces of other kinds differ.',
  },
] as const;
