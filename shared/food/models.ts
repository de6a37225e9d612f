/** What a model is trusted for: its source, its range, what it is checked by and where it is weak. */
export interface ModelRecord {
  readonly model: string;
  readonly source: string;
  readonly range: string;
  readonly check: string;
  readonly weakness: string;
}

/** The models of this folder, as its README and the table of all models show them. */
export const foodModels: readonly ModelRecord[] = [
  {
    model: 'Composition of cuts',
    source:
      'USDA SR by entry, USDA raw poultry table 1, ASHRAE Refrigeration ch. 9 table 3; each cut names its own',
    range: '73 cuts; four foods refused',
    check: 'parts add up within 3 %; ASHRAE moisture against its own latent heats',
    weakness:
      'stand-ins where no entry exists and figures from memory are marked in the record; trim differs more than breed',
  },
  {
    model: 'Density, specific heat, conductivity',
    source:
      'Choi & Okos 1986 as in ASHRAE ch. 9; conductivity is the geometric mean of the series and parallel bounds',
    range: '-1 to 150 C, unfrozen',
    check:
      'ASHRAE table 3 specific heats within 2 % (21 of 22 rows; the one for chicken is a misprint), table 7 ' +
      'diffusivities 15 % under to 1 % over, chicken conductivity up to 8 % under',
    weakness:
      'the arrangement of fat and lean is not known; water has the ASHRAE specific heat, 1 % under IAPWS',
  },
  {
    model: 'Conduction',
    source:
      'rho cp dT/dt = k (d2T/dr2 + beta/r dT/dr) with a film at the surface; compact finite volumes, SDIRK2 ' +
      '(Alexander 1977) with substeps that start short and double',
    range: 'thickness 0.5 mm to 1 m, beta 0 to 2, any row spacing, start from -1 C',
    check:
      "series and Duhamel's integral within 0.006 C at the core for jumps of 80 C, any row spacing; Incropera, " +
      'Cengel and Earle examples; 450 published times in a held bath',
    weakness:
      'one temperature all around, no latent heat, properties held over a cook; under the surface up to 0.15 C ' +
      'off in the first second after a jump',
  },
  {
    model: 'Bricks and finite cylinders',
    source: 'product solution (Incropera 5.8); for changing water the beta that is half way at the same time',
    range: 'proportions up to 100',
    check: 'product within 0.003 C; mapped core never ahead once half way, at any film',
    weakness: 'up to 1.5 C ahead while still cold, and late by up to a quarter (2:3:5 brick, 95 W/(m2 K))',
  },
  {
    model: 'Film coefficient',
    source:
      'Carino-Sarabia & Velez-Ruiz 2013 (still), literature range from memory (pumped), Churchill & Chu (temperature)',
    range: '0 to 100 C, air layer up to 100 mm',
    check: 'published ranges and the 27 W/(m2 K) of 1 mm of air',
    weakness: 'a factor of two either way; nobody measures the air in a bag; pieces that touch count as one',
  },
  {
    model: 'Measured core',
    source:
      'own rule: a reading less its error lowers credit at once, raises it only with a recorded cold spot',
    range: 'readings that meat can have; others are flagged',
    check: 'properties of the rule over all readings',
    weakness: 'a probe slightly off the cold spot but inside the envelope is not noticed',
  },
];
