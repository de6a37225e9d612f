/** Eight different cuts, one a bag: the design load, of which nothing can be computed once for two. */
export const EIGHT_CUTS = [
  'lamb-shoulder',
  'pork-neck',
  'pork-shoulder',
  'beef-chuck',
  'beef-shin',
  'duck-leg',
  'turkey-thigh',
  'pork-cheek',
] as const;
