/** Things that must be said with a cure. */
export interface CureCaution {
  readonly id: string;
  readonly words: string;
  readonly source: string;
}

const NONE = 'common practice, no source';

const LOWEST_SHELF: CureCaution = {
  id: 'lowest-shelf',
  words:
    'On a tray on the lowest shelf, covered, so that nothing drips on other food. Label it with what it is, the weight, the salt and the time.',
  source: 'FDA Food Code 3-302.11 (raw meat apart from and below food that is ready to eat), from memory',
};

const HANDS: CureCaution = {
  id: 'hands-and-boards',
  words: 'Wash hands, board and knife after raw meat, before anything else is touched.',
  source: NONE,
};

const POULTRY_RINSE: CureCaution = {
  id: 'poultry-rinse',
  words:
    'Better not rinse raw poultry at all: wipe the salt off with paper. Rinsing throws drops with bacteria on sink, taps and neighbouring food; if you must, low in the sink, a thin slow stream, nothing else near, and wash and disinfect sink and taps after.',
  source: 'USDA consumer guidance against washing raw poultry (from memory)',
};

const RINSE: CureCaution = {
  id: 'rinse-splash',
  words: 'Rinse low in an empty sink, in a slow stream; wash and disinfect sink and taps after.',
  source: NONE,
};

/** The cautions of a cure. `rinse`: salt will be rinsed off. */
export function cureCautions(poultry: boolean, rinse: boolean): readonly CureCaution[] {
  if (!rinse) return [LOWEST_SHELF, HANDS];
  return [LOWEST_SHELF, HANDS, poultry ? POULTRY_RINSE : RINSE];
}
