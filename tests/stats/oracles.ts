/** Published tables and results that src/stats is held against, each with its source. */

/** Shrout & Fleiss 1979, Psychol Bull 86:420, Table 2 (six targets, four judges) and the ICCs of its Table 4. */
export const SHROUT_FLEISS = {
  table: [
    [9, 2, 5, 8],
    [6, 1, 3, 2],
    [8, 4, 6, 8],
    [7, 1, 2, 6],
    [10, 5, 6, 9],
    [6, 2, 4, 7],
  ],
  single: { oneWay: 0.166, twoWayRandom: 0.29, twoWayMixed: 0.715 },
  mean: { oneWay: 0.443, twoWayRandom: 0.62, twoWayMixed: 0.909 },
  /** The same table's intervals by the function ICC of the R package psych, from memory; two decimals. */
  intervals: {
    oneWay: { single: [-0.13, 0.72], mean: [-0.88, 0.91] },
    twoWayRandom: { single: [0.02, 0.76], mean: [0.07, 0.93] },
    twoWayMixed: { single: [0.34, 0.95], mean: [0.68, 0.99] },
  },
} as const;

/** Weir 2005, J Strength Cond Res 19:231: 2.77 SEM, SEM the root of the residual mean square; the rest is exact. */
export const WEIR = {
  factor: 2.77,
  betweenSubjects: 19.67,
  residual: 1.64,
  icc: 0.846,
  change: 3.55,
} as const;

/**
 * Bland & Altman 1986, Lancet i:307: peak expiratory flow, l/min, first readings of a large and a small meter. The table
 * is from memory; the published bias and SD come out of it. Interval of the bias as printed there.
 */
export const PEAK_FLOW = {
  large: [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427],
  small: [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451],
  bias: -2.118,
  sd: 38.765,
  biasInterval: [-22.0, 17.8],
} as const;

/**
 * Bland & Altman 1996, BMJ 313:744: peak flow of 20 children, l/min, four times each. The table is from memory; the
 * published sums of squares (between 285318.44, within 27631.25 on 60 degrees of freedom) come out of it.
 */
export const CHILDREN = {
  repeats: [
    [190, 220, 200, 200],
    [220, 200, 240, 230],
    [260, 260, 240, 280],
    [210, 300, 280, 265],
    [270, 265, 280, 270],
    [280, 280, 270, 275],
    [260, 280, 280, 300],
    [275, 275, 275, 305],
    [280, 290, 300, 290],
    [320, 290, 300, 290],
    [300, 300, 310, 300],
    [270, 250, 330, 370],
    [320, 330, 330, 330],
    [335, 320, 335, 375],
    [350, 320, 340, 365],
    [360, 320, 350, 345],
    [330, 340, 380, 390],
    [335, 385, 360, 370],
    [400, 420, 425, 420],
    [430, 460, 480, 470],
  ],
  betweenSumOfSquares: 285318.44,
  withinSumOfSquares: 27631.25,
  degreesOfFreedom: 60,
  withinSd: 21.5,
} as const;

/**
 * Share of the adult height at the withers by age in months, good to 3 points: eXtension Horses (US land-grant
 * universities), "How can I measure my colt to estimate its mature height". 131 cm at 6 months: worked from its 82 %.
 */
export const GROWTH = {
  shares: [
    [3, 0.73],
    [6, 0.82],
    [12, 0.89],
    [18, 0.95],
    [24, 0.97],
  ],
  error: 0.03,
  colt: { ageMonths: 6, heightM: 1.31, adultM: 1.598 },
} as const;

/** Printed tables, e.g. NIST/SEMATECH e-Handbook 1.3.6.7: 97.5 % points; chi-squared: 2.5 and 97.5 %. From memory. */
export const T_975 = [
  [1, 12.706],
  [5, 2.571],
  [10, 2.228],
  [30, 2.042],
  [Infinity, 1.96],
] as const;
export const F_975 = [
  [5, 18, 3.382],
  [5, 15, 3.576],
  [10, 10, 3.717],
] as const;
export const CHI_SQUARED = [
  [10, 3.247, 20.483],
  [30, 16.791, 46.979],
] as const;
