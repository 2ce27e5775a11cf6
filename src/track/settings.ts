import type { PointName } from '../points.ts';

/**
 * What is known of how points move and how well they are seen. H = height at the withers in px at that frame.
 * Accelerations and noise were set by eye and by hand on published walk trajectories (Niknejad et al. 2023,
 * J ASABE 66:865), no source gives them as such; the SD of a sure toe is that of the same data (.4 % of H).
 */
export interface PointSettings {
  /** SD of a sure observation, share of H. */
  readonly sd: number;
  /** Spectral density of the acceleration while the point moves, H^2/s^3. */
  readonly moving: number;
  /** The same while it stands; equal to `moving` for points that never do. */
  readonly standing: number;
  /** Longest gap that is bridged while the point moves, s. */
  readonly gapS: number;
}

const LOWER_GAP_S = 0.11;
const HOOF: PointSettings = { sd: 0.004, moving: 80, standing: 0.02, gapS: LOWER_GAP_S };
const FETLOCK: PointSettings = { sd: 0.005, moving: 60, standing: 0.5, gapS: LOWER_GAP_S };
const KNEE: PointSettings = { sd: 0.006, moving: 20, standing: 20, gapS: 0.15 };
const HEAD: PointSettings = { sd: 0.005, moving: 3, standing: 3, gapS: 0.4 };
const TRUNK: PointSettings = { sd: 0.006, moving: 1, standing: 1, gapS: 0.4 };
const UPPER_LIMB: PointSettings = { sd: 0.008, moving: 2, standing: 2, gapS: 0.4 };

const isOfHead = (name: PointName): boolean => name === 'muzzle' || name === 'poll';

export function settingsOf(name: PointName): PointSettings {
  if (name.endsWith('_hoof')) return HOOF;
  if (name.endsWith('_fetlock')) return FETLOCK;
  if (name.endsWith('_knee') || name.endsWith('_hock')) return KNEE;
  if (isOfHead(name)) return HEAD;
  if (name.includes('shoulder') || name.includes('elbow')) return UPPER_LIMB;
  return TRUNK;
}

/** Observations less sure than this are not used. */
export const MIN_SCORE = 0.15;
/**
 * As a head leaves the picture, the network puts its points on the neck that is left, at scores below .2 (seen on the
 * eight published clips, where a poll in the picture has .4 to .9).
 */
const MIN_HEAD_SCORE = 0.3;
export const leastScore = (name: PointName): number => (isOfHead(name) ? MIN_HEAD_SCORE : MIN_SCORE);

/** SD of an observation, share of H: that of a sure one at score 1, 2.7 times it at .5, 5 times at .2. */
export const observationSd = (settings: PointSettings, score: number): number =>
  settings.sd * Math.exp(2 * (1 - Math.min(1, Math.max(0, score))));

/** SD of a point put right by hand, share of H. */
export const CORRECTION_SD = 0.001;

/** A hoof stands while it moves slower than this, H/s; a walking body does about .8, a swinging hoof up to 3. */
export const STANDING_SPEED = 0.3;
/** Standing is sure only where it lasts this long before and after, so that no landing is smeared. */
export const STANDING_MARGIN_S = 0.035;
/** Speeds are taken over at least this long. */
export const SPEED_WINDOW_S = 0.08;
/** A gap in mid-stance is bridged when both its ends are this near, share of H, for up to this long. */
export const SAME_PLACE = 0.03;
export const STANDING_GAP_S = 0.6;

/** Smoothed residuals beyond this many SDs belong to something else. */
export const OUTLIER_SDS = 4;

/** How fast the error of the network that a correction reveals is forgotten, s. */
export const BIAS_MEMORY_STANDING_S = 0.8;
export const BIAS_MEMORY_MOVING_S = 0.12;
/** Errors larger than this, share of H, are another thing than the point: not shifted, but trusted less. */
export const LARGEST_BIAS = 0.25;
