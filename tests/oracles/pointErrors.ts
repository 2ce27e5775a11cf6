/**
 * Errors of the network that ships (models/horse-keypoints/CARD.md, version 1, `val` part: 42 photographs and 20
 * ridden walk frames of horses in no training set) against labels set by hand, share of the height at the withers.
 * Median and robust SD (1.4826 MAD) of the photographs, upright and along; CARD.md gives the median distances.
 */
export const MEASURED_ERRORS = {
  withers: { forward: { mean: 0.005, sd: 0.045 }, up: { mean: 0.006, sd: 0.0155 } },
  croup: { forward: { mean: 0.003, sd: 0.021 }, up: { mean: 0.003, sd: 0.005 } },
  poll: { forward: { mean: 0.002, sd: 0.016 }, up: { mean: 0.0045, sd: 0.009 } },
  toe: { forward: { mean: 0.005, sd: 0.011 }, up: { mean: 0.003, sd: 0.01 } },
} as const;

/**
 * What of a toe's error all pictures of a horse share: of four horses in 20 frames 0.35 % between horses and 0.95 %
 * within, label and all; together with the photographs 0.6 % and 0.5 % (along, up). All of the body's is taken so.
 */
export const CONSTANT_ERRORS = {
  ...MEASURED_ERRORS,
  toe: { forward: { mean: 0.005, sd: 0.006 }, up: { mean: 0.003, sd: 0.005 } },
} as const;

/** What the frames of one stance share beyond that: sqrt(0.95^2 - 0.5^2 of the label - 0.4^2 from frame to frame). */
export const STANCE_ERROR_H = 0.007;
