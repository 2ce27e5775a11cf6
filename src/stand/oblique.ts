import { quadrature, type Estimate } from '../gait/statistics.ts';
import { isLineSeen, placed, type Frame, type Scene, type StandPoints } from './places.ts';

/** How square the camera looked: angle of the horse's long axis to the picture plane, positive with the forehand nearer. */
export interface Oblique {
  readonly deg: number;
  readonly sdDeg: number;
  readonly lowDeg: number;
  readonly highDeg: number;
  /** Mean of its size, whichever end is nearer. */
  readonly sizeDeg: number;
}

/** Who takes the picture means to stand square, and mostly does within this, degrees: our assumption, no source. */
export const USUAL_DEG: Estimate = { value: 0, sd: 10 };
/** Roll of a phone held level by eye, and slope of a yard, together: 2 degrees; our assumption, no source. */
export const ROLL_SD = 0.035;
/** Toes up and down: slope of the line through both pairs. */
const LINE_SD = 0.012;
/**
 * Point of shoulder to tailhead, H: body length 1.076 (Warmblood) to 1.145 (Icelandic horse), SD .025 to .05 within
 * (Acta Vet Scand 2019, s13028-019-0498-5, Table 2), less .065 from point of buttock to tailhead (our assumption, no source).
 */
export const TRUNK_H = { value: 1.045, sd: 0.06 };
/** Point of shoulder, tailhead and the height that is its measure, as seen, H (errors.ts). */
const TRUNK_SEEN_SD = 0.034;
/** What perspective and the width between the shoulders do to the trunk's length, H, times the sine: which way is left open. */
const TRUNK_PER_SINE = 0.25;
/** Relative SD of lens height over distance. */
const HEIGHT_REL_SD = 0.28;
export const WARN_DEG = 10;

const STEP_DEG = 0.5;
const GRID_DEG = Array.from({ length: 161 }, (_, i) => (i - 80) * STEP_DEG);
const rad = (deg: number): number => (deg * Math.PI) / 180;

/**
 * By Bayes' rule on a grid: the camera is meant to stand square; a ground line that falls in the picture towards the head
 * says that the forehand is nearer, as far as neither picture nor ground lean; a trunk that is short for its height that
 * one end is. All of it is weak: the interval is seldom narrower than 10 degrees to either side. How far one hoof of a
 * pair stands ahead of the other would tell as well, were that not what is to be measured; so would croup against withers.
 * `usual`: what is known of the angle beforehand, degrees. Null where `placed` is.
 */
export function obliqueOf(
  points: StandPoints,
  frame: Frame,
  scene: Scene,
  usual: Estimate = USUAL_DEG,
): Oblique | null {
  const straight = placed(points, frame, { ...scene, obliqueRad: 0, rollRad: 0 });
  if (!straight) return null;
  const { heightPx, slope, placeOf } = straight;
  const perSine = (scene.cameraH * heightPx) / scene.focalPx;
  const [shoulder, tail] = [placeOf('point_of_shoulder'), placeOf('tailhead')];
  // No horse is as long or as short as points gone astray may be.
  const trunkH = shoulder && tail ? Math.min(2, Math.max(0, shoulder.alongH - tail.alongH)) : null;
  const misfit = (deg: number): number => {
    const expected = perSine * Math.tan(rad(deg));
    const lineSd = quadrature(ROLL_SD, LINE_SD, HEIGHT_REL_SD * expected);
    const line = isLineSeen(points) ? ((slope - expected) / lineSd) ** 2 + 2 * Math.log(lineSd) : 0;
    const trunkSd = quadrature(TRUNK_H.sd, TRUNK_SEEN_SD, TRUNK_PER_SINE * Math.sin(rad(deg)));
    const short = trunkH === null ? 0 : (trunkH - TRUNK_H.value * Math.cos(rad(deg))) / trunkSd;
    const trunk = trunkH === null ? 0 : short ** 2 + 2 * Math.log(trunkSd);
    return ((deg - usual.value) / usual.sd) ** 2 + line + trunk;
  };
  return summed(GRID_DEG.map(misfit));
}

/** Mean, SD and 95 % interval of the angle from minus twice the logarithms of its chances. */
function summed(misfits: readonly number[]): Oblique {
  const least = Math.min(...misfits);
  const weights = misfits.map((m) => Math.exp((least - m) / 2));
  const total = weights.reduce((a, b) => a + b, 0);
  const meanOf = (of: (deg: number) => number): number =>
    weights.reduce((sum, w, i) => sum + w * of(GRID_DEG[i] ?? 0), 0) / total;
  const quantile = (share: number): number => {
    let sum = 0;
    const i = weights.findIndex((w) => (sum += w) >= share * total);
    return GRID_DEG[i] ?? 0;
  };
  const deg = meanOf((d) => d);
  return {
    deg,
    sdDeg: Math.sqrt(meanOf((d) => (d - deg) ** 2)),
    lowDeg: Math.min(deg, quantile(0.025) - STEP_DEG / 2),
    highDeg: Math.max(deg, quantile(0.975) + STEP_DEG / 2),
    sizeDeg: meanOf(Math.abs),
  };
}
