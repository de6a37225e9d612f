import { GAP_RULE } from './gaps.ts';

/** What `bathkeeper assess --help` prints. */
export const HELP = `bathkeeper assess LOG.csv --shape SHAPE --thickness 40mm --start 5C [options]

Says what food in a water bath has been through, from a temperature log of any logger: core, kill by published
standards, growth, come-up, hot holding, cooling, tenderness; the middle case, and each hazard's worst.

  LOG.csv               a time and a bath temperature on each line, separated by comma, semicolon or tab
  --shape SHAPE         slab, cylinder, sphere, a number from 0 (slab) to 2 (sphere), brick[:WIDTH:LENGTH],
                        finite-cylinder[:LENGTH], as multiples of the thickness
  --thickness LENGTH    full thickness of the filled bag at its thickest, such as 40mm or 1.5in; pieces that touch
                        count as one
  --start TEMPERATURE   of the food when it went in, at the first row, such as 5C or 41F
  --cut ID              what it is: sets composition, standards and growth model
  --diffusivity N       m2/s (default: of the cut, else 1.3e-7)
  --conductivity N      W/(m K) (default: of the cut, else 0.48)
  --circulation HOW     what moved the water past the food: pumped or still (default: not known, so the middle is
                        the least of the pumped range, and the worst case allows for still water)
  --film N              W/(m2 K) between water and food, one for the whole log (default: by circulation and
                        temperature of the bath; pumped about 300, still about 110 at 50 C)
  --time-column NAME    header or number of the column, the first being 1 (default: by its name)
  --bath-column NAME
  --core-column NAME    a measured core; it lowers the credit, and raises it only with --cold-spot
  --cold-spot HOW       how the probe's place was found to be the coldest, such as "lowest of three places"
  --unit C|F            of the log, where neither header nor cells name it
  --series SECONDS      adds the core's curve at even times
  --profile ID          local rules: conservative (default), us-food-code, usda-fsis
  --json                one JSON document and nothing else
  --help                this

Times may be ISO 8601 with or without zone, seconds or milliseconds since 1970, elapsed seconds (or min, h by the
header), or h:mm:ss. ${GAP_RULE}

Exit codes: 0 done, 1 failure, 2 bad input.
`;
