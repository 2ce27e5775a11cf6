/** Published and exact values that the gait core is held against, each with its source. */

/** FEI Dressage Rules, Art. 403 (from memory): four even beats, LH LF RH RF. */
export const FOUR_BEATS = { LH: 0, LF: 0.25, RH: 0.5, RF: 0.75 } as const;

/** Exact: overtrack = (1 - lag) stride length - C; C = along-track distance in the body from hind to fore landing place. */
export const OVERTRACK_IDENTITY = {
  strideLengthM: 1.8,
  lag: 0.25,
  landingDistanceM: 1.2,
  overtrackM: 0.15,
} as const;

/** Exact: with equal duty factors and even beats, three hooves are down 4 (DF - 0.5) of the time. */
export const THREE_DOWN = [
  { dutyFactor: 0.6, share: 0.4 },
  { dutyFactor: 0.65, share: 0.6 },
] as const;

/** Starke & Clayton 2015, PeerJ 3:e783: hoof events from markers, 95 % within this, bias within these. */
export const EVENT_BAR = { within95S: 0.026, biasS: [-0.011, 0.01] } as const;

/** Hodson et al. 2000, 2001, Equine Vet J (from memory): duty factors at 1.4 - 1.7 m/s; tolerance .04. */
export const DUTY_FACTORS = { fore: [0.62, 0.66], hind: [0.6, 0.64], tolerance: 0.04 } as const;

/** Griffin et al. 2004, J Exp Biol 207:4215: horses change from walk to trot near this Froude number. */
export const TRANSITION_FROUDE = 0.35;

/** Drevemo et al. 1980, Equine Vet J 12:60: variation of stride length within a horse. */
export const WITHIN_HORSE_CV = [0.02, 0.05] as const;

/**
 * Ridden walk, 145 clips: mean and SD, measured by others on the trajectories of Niknejad et al. 2023 (J ASABE 66:865).
 * How withers height was read there is not said.
 */
export const RIDDEN_WALK = {
  strideLengthH: { mean: 0.98, sd: 0.11 },
  strideDurationS: { mean: 1.26, sd: 0.14 },
  overtrackH: { mean: 0.04, sd: 0.1 },
  lag: { mean: 0.23, sd: 0.06 },
} as const;

/** Gmel et al. 2024, J Equine Vet Sci 133:105005: speeds that horses were walked at, m/s. */
export const WALKING_SPEED_MPS = [1.35, 2.05] as const;
