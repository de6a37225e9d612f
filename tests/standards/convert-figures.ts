/*
 * Published figures for the converters, each with its source. "Recomputed" values were worked out from the source's own
 * formula by another program than this one.
 */

/** DS18B20 data sheet, table 1: degrees C and 16-bit code. */
export const DS18B20_CODES = [
  [125, 0x07d0],
  [85, 0x0550],
  [25.0625, 0x0191],
  [10.125, 0x00a2],
  [0.5, 0x0008],
  [0, 0x0000],
  [-0.5, 0xfff8],
  [-10.125, 0xff5e],
  [-25.0625, 0xfe6f],
  [-55, 0xfc90],
] as const;

/** Whole scratchpads with TH 4B, TL 46, 12 bit; check bytes recomputed from the polynomial of Maxim application note 27. */
export const DS18B20_SCRATCHPADS = [
  [85, '50 05 4B 46 7F FF 0C 10 1C'],
  [125, 'D0 07 4B 46 7F FF 0C 10 F4'],
  [25.0625, '91 01 4B 46 7F FF 0C 10 70'],
  [10.125, 'A2 00 4B 46 7F FF 0C 10 74'],
  [0.5, '08 00 4B 46 7F FF 0C 10 E2'],
  [0, '00 00 4B 46 7F FF 0C 10 C8'],
  [-0.5, 'F8 FF 4B 46 7F FF 0C 10 C3'],
  [-10.125, '5E FF 4B 46 7F FF 0C 10 6A'],
  [-25.0625, '6F FE 4B 46 7F FF 0C 10 E8'],
  [-55, '90 FC 4B 46 7F FF 0C 10 4F'],
  [55, '70 03 4B 46 7F FF 0C 10 3A'],
  [56.5, '88 03 4B 46 7F FF 0C 10 37'],
  [60, 'C0 03 4B 46 7F FF 0C 10 54'],
  [62.5, 'E8 03 4B 46 7F FF 0C 10 D6'],
  [75, 'B0 04 4B 46 7F FF 0C 10 52'],
  [90, 'A0 05 4B 46 7F FF 0C 10 3B'],
] as const;

/** DS18B20 data sheet, table 2 (configuration bytes from memory): bits, smallest step in degrees C, configuration byte. */
export const DS18B20_RESOLUTIONS = [
  [9, 0.5, 0x1f],
  [10, 0.25, 0x3f],
  [11, 0.125, 0x5f],
  [12, 0.0625, 0x7f],
] as const;

/** 1-Wire check bytes: Maxim application note 27 example 2; the maker's CRC calculator; the check string of CRC catalogues. */
export const ONE_WIRE_CRCS = [
  ['02 1C B8 01 00 00 00', 0xa2, 'Maxim application note 27, example 2'],
  ['12 12 A2 14 5F 12 AA 12', 0x6d, "the maker's CRC calculator"],
  ['31 32 33 34 35 36 37 38 39', 0xa1, 'CRC-8/MAXIM check string'],
  ['FF FF FF FF FF FF FF FF', 0xc9, 'recomputed'],
] as const;

/** 103AT-2 resistance table (R25 10 kOhm, B25/85 3435 K): degrees C and kOhm. */
export const NTC_103AT2 = [
  [-50, 329.5], [-40, 188.5], [-30, 111.3], [-20, 67.77], [-10, 42.47], [0, 27.28], [5, 22.05], [10, 17.96],
  [15, 14.69], [20, 12.09], [25, 10], [30, 8.313], [35, 6.94], [40, 5.827], [45, 4.911], [50, 4.16], [55, 3.536],
  [60, 3.02], [65, 2.588], [70, 2.228], [75, 1.924], [80, 1.668], [85, 1.451], [90, 1.266], [95, 1.108],
  [100, 0.9731], [105, 0.8572], [110, 0.7576],
] as const; // biome-ignore format: a table

/** Generated table of an open real-time system's thermistor driver (R25 10 kOhm, beta 3974 K): degrees C and ohm. */
export const NTC_B3974 = [
  [5, 26075],
  [15, 15881],
  [25, 10000],
  [35, 6488],
  [45, 4326],
  [55, 2956],
  [65, 2066],
  [75, 1474],
  [85, 1072],
  [95, 793],
] as const;

/** Beta equation with R25 10 kOhm and beta 3950 K, recomputed (no table of such a part was seen). */
export const NTC_B3950 = [
  [0, 33620.6],
  [10, 20174.6],
  [20, 12535.3],
  [25, 10000],
  [30, 8037.1],
  [40, 5301.5],
  [50, 3588.2],
  [55, 2978.4],
  [60, 2486.2],
  [65, 2086.4],
  [70, 1759.8],
  [80, 1270.3],
  [85, 1086.7],
  [90, 933.6],
  [100, 697.5],
] as const;

/** A worked example of Steinhart and Hart: three points (partly from memory) and the coefficients, recomputed. */
export const STEINHART_EXAMPLE = {
  points: [
    { celsius: 43.33, ohms: 4664 },
    { celsius: 10, ohms: 19900 },
    { celsius: -3.9, ohms: 39919 },
  ],
  a: 0.00113110987,
  b: 0.000233771455,
  c: 8.92984935e-8,
} as const;

/** Coefficients often given for a 10 kOhm part (from memory), with ohm and degrees C recomputed. */
export const STEINHART_GENERIC = {
  curve: { a: 1.129148e-3, b: 2.34125e-4, c: 8.76741e-8 },
  rows: [
    [32650, 0.0],
    [10000, 25.0],
    [3603, 49.986],
    [2488, 59.99],
    [1070, 85.013],
  ],
} as const;

/** IEC 60751:2008, table of a Pt100, recomputed to four places: degrees C and ohm. */
export const PT100_ROWS = [
  [-200, 18.5201],
  [-100, 60.2558],
  [-50, 80.3063],
  [-10, 96.0859],
  [0, 100],
  [10, 103.9025],
  [20, 107.7935],
  [25, 109.7347],
  [30, 111.6729],
  [40, 115.5408],
  [50, 119.3971],
  [55, 121.321],
  [60, 123.2419],
  [65, 125.16],
  [70, 127.0751],
  [75, 128.9874],
  [80, 130.8968],
  [85, 132.8033],
  [90, 134.7069],
  [95, 136.6077],
  [100, 138.5055],
  [150, 157.3251],
  [200, 175.856],
] as const;

/** The same table as printed, two places, seen in a public copy. */
export const PT100_PRINTED = [
  [-200, 18.52],
  [-100, 60.26],
  [-10, 96.09],
  [10, 103.9],
  [20, 107.79],
  [50, 119.4],
  [60, 123.24],
  [70, 127.08],
  [80, 130.9],
  [90, 134.71],
  [100, 138.51],
  [200, 175.86],
] as const;

/** IEC 60751 tolerances seen in a public copy: degrees C, class A, class B. */
export const PT100_TOLERANCES = [
  [0, 0.15, 0.3],
  [100, 0.35, 0.8],
  [200, 0.55, 1.3],
] as const;

/** NIST ITS-90 tables: degrees C, type K mV, type T mV. Rows at 0 and above recomputed to four places. */
export const THERMOCOUPLE_ROWS = [
  [0, 0, 0],
  [5, 0.1979, 0.1946],
  [10, 0.3969, 0.391],
  [20, 0.7981, 0.7896],
  [25, 1.0002, 0.992],
  [30, 1.2033, 1.1964],
  [40, 1.6118, 1.6118],
  [50, 2.0231, 2.0357],
  [55, 2.2296, 2.2509],
  [60, 2.4365, 2.4682],
  [65, 2.6437, 2.6875],
  [70, 2.8512, 2.9089],
  [75, 3.0589, 3.1323],
  [80, 3.2666, 3.3577],
  [85, 3.4743, 3.5851],
  [90, 3.6819, 3.8143],
  [95, 3.8892, 4.0455],
  [100, 4.0962, 4.2785],
  [150, 6.1383, 6.7041],
  [200, 8.1385, 9.2881],
] as const;

/** Rows of the printed NIST tables, three places (100 seen; the negative ones from memory). */
export const THERMOCOUPLE_PRINTED = [
  [100, 4.096, 4.279],
  [-50, -1.889, -1.819],
  [-100, -3.554, -3.379],
  [-200, -5.891, -5.603],
] as const;

/** NIST's approximate inverses: mV to degrees C, where they hold and how well (type T and the negative ones from memory). */
export const THERMOCOUPLE_INVERSES = [
  {
    type: 'K',
    fromC: 0,
    toC: 500,
    errorC: 0.05,
    c: [
      0, 25.08355, 0.07860106, -0.2503131, 0.0831527, -0.01228034, 0.0009804036, -4.41303e-5, 1.057734e-6,
      -1.052755e-8,
    ],
  },
  {
    type: 'T',
    fromC: 0,
    toC: 400,
    errorC: 0.03,
    c: [0, 25.928, -0.7602961, 0.04637791, -0.002165394, 6.048144e-5, -7.293422e-7],
  },
  {
    type: 'K',
    fromC: -200,
    toC: 0,
    errorC: 0.04,
    c: [
      0, 25.173462, -1.1662878, -1.0833638, -0.8977354, -0.37342377, -0.086632643, -0.010450598,
      -0.00051920577,
    ],
  },
  {
    type: 'T',
    fromC: -200,
    toC: 0,
    errorC: 0.04,
    c: [0, 25.949192, -0.21316967, 0.79018692, 0.42527777, 0.13304473, 0.020241446, 0.0012668171],
  },
] as const;

/** Cold junction, worked: tip at 60, terminals at 25 degrees C; mV at the terminals (recomputed). */
export const COLD_JUNCTION = { tipC: 60, terminalsC: 25, K: 1.43623, T: 1.47617 } as const;

/** ISO 2533 pressure (Pa) and IAPWS-IF97 boiling point against height (m), recomputed with another program. */
export const BOILING_BY_HEIGHT = [
  [0, 101325, 99.974],
  [100, 100129.5, 99.642],
  [250, 98357.6, 99.144],
  [500, 95460.9, 98.313],
  [750, 92633.8, 97.481],
  [1000, 89874.8, 96.649],
  [1500, 84556.3, 94.983],
  [1609.344, 83427.9, 94.619],
  [2000, 79495.5, 93.315],
  [2250, 77058.8, 92.48],
  [2500, 74682.9, 91.645],
  [3000, 70109, 89.972],
  [3500, 65764.6, 88.297],
  [4000, 61640.8, 86.62],
  [4500, 57728.9, 84.939],
  [5000, 54020.5, 83.255],
] as const;

/** IAPWS-IF97 boiling point against pressure in kPa, recomputed with another program. */
export const BOILING_BY_PRESSURE = [
  [104, 100.706],
  [103, 100.434],
  [102, 100.16],
  [101.325, 99.974],
  [100, 99.606],
  [98, 99.042],
  [96, 98.469],
  [94, 97.885],
  [92, 97.292],
  [90, 96.687],
  [85, 95.125],
  [80, 93.485],
  [75, 91.758],
  [70, 89.932],
] as const;
