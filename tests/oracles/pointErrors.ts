/**
 * Errors of the network that ships (models/horse-keypoints/CARD.md, version 3, `val` part: 42 photographs and 20
 * ridden walk frames of horses in no training set) against labels set by hand, share of the height at the withers.
 * Median and robust SD (1.4826 MAD) of the photographs, upright and along; CARD.md gives the median distances.
 * Made by models/training/point_errors.py.
 */
export const MEASURED_ERRORS = {
  withers: { forward: { mean: -0.001, sd: 0.0415 }, up: { mean: -0.001, sd: 0.0145 } },
  croup: { forward: { mean: 0.0035, sd: 0.0225 }, up: { mean: 0.0015, sd: 0.006 } },
  poll: { forward: { mean: 0.005, sd: 0.0195 }, up: { mean: 0.0035, sd: 0.008 } },
  toe: { forward: { mean: 0.001, sd: 0.015 }, up: { mean: -0.0025, sd: 0.0095 } },
} as const;

/**
 * What of it all pictures of a horse share. Of a toe: along 0.55 % between the four horses of the frames and 0.97 % within,
 * label and all, up 0.46 and 0.95 %; together with the photographs 0.85 and 0.45 %. All of the body's is taken so; the
 * height of the withers differs more between those four (1.7 %) than from photograph to photograph.
 */
export const CONSTANT_ERRORS = {
  ...MEASURED_ERRORS,
  withers: { ...MEASURED_ERRORS.withers, up: { mean: -0.001, sd: 0.017 } },
  toe: { forward: { mean: 0.001, sd: 0.0085 }, up: { mean: -0.0025, sd: 0.0045 } },
} as const;

/** What the frames of one stance share beyond that: sqrt(0.97^2 - 0.5^2 of the label - 0.4^2 from frame to frame). */
export const STANCE_ERROR_H = 0.0075;
