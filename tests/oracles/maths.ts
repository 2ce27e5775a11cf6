/** Worked examples of the mathematics in src/gait, each with its source. */

/** Zar, Biostatistical Analysis, circular distributions: eight angles (degrees), their mean and vector length. */
export const ZAR = {
  anglesDeg: [45, 55, 81, 96, 110, 117, 132, 154],
  meanDeg: 98.99,
  resultant: 0.82522,
} as const;

/** Savitzky & Golay 1964, Anal Chem 36:1627: five points, quadratic: value x 35, slope x 10. */
export const SAVITZKY_GOLAY = { value35: [-3, 12, 17, 12, -3], slope10: [-2, -1, 0, 1, 2] } as const;

/** Exact: SD of an interval read to the frame, ms. */
export const FRAME_INTERVAL_MS = [
  [30, 13.6],
  [60, 6.8],
  [120, 3.4],
  [240, 1.7],
] as const;

/** Exact: cos a - 1, per cent. */
export const FORESHORTENING_PCT = [
  [5, -0.38],
  [10, -1.52],
  [15, -3.41],
  [20, -6.03],
  [30, -13.4],
] as const;

/** Exact: local scale at 10 degrees, 8 m away, s metres along the path. */
export const OBLIQUE_SCALE = [
  [-2, 1.076],
  [0, 0.985],
  [2, 0.905],
] as const;

/** Exact: a plane 0.3 m off, at a distance in metres, per cent. */
export const WRONG_PLANE_PCT = [
  [8, 3.75],
  [10, 3],
  [12, 2.5],
] as const;

/** Exact: strides for a 95 % interval of +-2 % at a CV in per cent. */
export const STRIDES_NEEDED = [
  [3, 9],
  [4, 16],
  [5, 25],
] as const;

/** Student's t, 97.5 % points by degrees of freedom: printed tables, e.g. NIST/SEMATECH e-Handbook 1.3.6.7.2. */
export const T_975 = [
  [1, 12.706],
  [2, 4.303],
  [3, 3.182],
  [5, 2.571],
  [6, 2.447],
  [10, 2.228],
  [30, 2.042],
] as const;
