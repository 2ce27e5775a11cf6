/** What one picture does not tell, as it usually is. */
import { BASE_WIDTH_H, FOCAL_SHARE } from '../gait/scale.ts';
import type { Estimate } from '../gait/statistics.ts';
import { ROLL_SD, USUAL_DEG, type Oblique } from './oblique.ts';
import type { Frame, Scene } from './places.ts';
import type { StandOptions } from './types.ts';

/**
 * Height of the lens: between the horse's elbow, where the filming card has it, and the eyes of who stands, as for marks on the
 * ground (src/gait/groundDistance.ts); our assumption, no source.
 */
const LENS_H: Estimate = { value: 0.8, sd: 0.25 };
/** From the mid-plane to a point of shoulder, withers heights: our assumption, no source. */
const SHOULDER_ASIDE_H: Estimate = { value: 0.115, sd: 0.02 };
const HOOF_ASIDE_H: Estimate = { value: BASE_WIDTH_H.value / 2, sd: BASE_WIDTH_H.sd / 2 };

const focalShare = ({ focalShare: given }: StandOptions): Estimate =>
  given && Number.isFinite(given.value + given.sd) && given.value > 0.1 && given.sd >= 0
    ? given
    : FOCAL_SHARE;

/** What is known of the camera's angle beforehand, degrees. */
export const usualOblique = ({ obliqueDeg: given }: StandOptions): Estimate =>
  given && Number.isFinite(given.value) && Math.abs(given.value) <= 40 && given.sd >= 0.5 ? given : USUAL_DEG;

export const frameOf = ({ nearSide, centreXPx, pictureWidthPx }: StandOptions): Frame => ({
  nearSide,
  centreXPx: centreXPx !== undefined && Number.isFinite(centreXPx) ? centreXPx : (pictureWidthPx - 1) / 2,
});

/** The usual scene, seen square. */
export const usualScene = (options: StandOptions): Scene => ({
  focalPx: focalShare(options).value * Math.max(options.pictureWidthPx, options.pictureHeightPx),
  cameraH: LENS_H.value,
  foreAsideH: HOOF_ASIDE_H.value,
  hindAsideH: HOOF_ASIDE_H.value,
  shoulderAsideH: SHOULDER_ASIDE_H.value,
  obliqueRad: 0,
  rollRad: 0,
});

/** SDs of all that. */
export function sceneSds(options: StandOptions, oblique: Oblique, isLineSeen: boolean): Scene {
  const focal = focalShare(options);
  return {
    focalPx: (focal.sd / focal.value) * usualScene(options).focalPx,
    cameraH: LENS_H.sd,
    foreAsideH: HOOF_ASIDE_H.sd,
    hindAsideH: HOOF_ASIDE_H.sd,
    shoulderAsideH: SHOULDER_ASIDE_H.sd,
    obliqueRad: (oblique.sdDeg * Math.PI) / 180,
    rollRad: isLineSeen ? 0 : ROLL_SD,
  };
}
