import { nearestIndex } from '../track/times.ts';
import { flatPlace, toStillFrame } from '../track/turning.ts';
import type { Track } from '../track/types.ts';
import { heightAt } from './geometry.ts';
import type { PassScale } from './scale.ts';
import type { SpanData } from './series.ts';
import { quadrature, type Estimate } from './statistics.ts';
import type { GroundDistance } from './types.ts';

/** A mark is set to about this, withers heights in the picture; a tape between two marks is read to about 1 %. */
const MARK_SD_H = 0.005;
const TAPE_REL_SD = 0.01;
/**
 * Of two marks beside the path the camera's height counts, so that all that may be is let in: from the horse's elbow (.55),
 * where the filming card has the lens, to the eyes of who stands and films (about 1.05). Withers heights, our assumption.
 */
const LENS_H = { value: 0.8, sd: 0.25 };
/** No horse or pony that is led is lower or higher (common practice, no source). */
const LOWEST_WITHERS_M = 0.5;
const HIGHEST_WITHERS_M = 2.2;

/** A place on the ground in withers heights: across the camera's axis, and away from the camera. */
interface Place {
  readonly across: number;
  readonly away: number;
}

/**
 * Ground lower in the picture is nearer: a place lies focal length x camera height / (px below the horizon) away. The
 * horizon is where the path's own ground line has it; how high the camera stands is assumed (LENS_H).
 */
function placeOf(f: number, d: number, scale: PassScale, cameraH: number, focalPx: number): Place | null {
  const horizonD = scale.groundD(f) - cameraH * heightAt(scale.view, f);
  const below = d - horizonD;
  if (!(below > 0.1 * cameraH * scale.view.heightPx)) return null;
  const away = (focalPx * cameraH) / below;
  return { across: (f / focalPx) * away, away };
}

/**
 * Height at the withers (m) and its SD, from two marks on the ground a known distance apart (m; marks in picture px of
 * the frame at timeS). Null where the marks can't both lie on the ground, lie nearly on one spot, or would make the
 * horse lower or higher than any.
 */
export function heightByDistance(
  known: GroundDistance,
  track: Track,
  data: SpanData,
  scale: PassScale,
): Estimate | null {
  const frame = nearestIndex(track.timesS, known.timeS);
  const toStill = track.toStill[frame];
  if (!toStill || !(known.distanceM > 0)) return null;
  const sign = data.span.direction === 'right' ? 1 : -1;
  const marks = [known.from, known.to].map((p) => {
    const still = flatPlace(track.lens, data.centreXPx, toStillFrame(track.lens, toStill, p));
    return { f: sign * (still.x - data.centreXPx), d: still.y };
  });
  const distanceH = (cameraH: number, focalPx: number): number | null => {
    const [a, b] = marks.map((m) => placeOf(m.f, m.d, scale, cameraH, focalPx));
    return a && b ? Math.hypot(a.across - b.across, a.away - b.away) : null;
  };
  const { focalPx, heightPx } = scale.view;
  const base = distanceH(LENS_H.value, focalPx);
  if (base === null || base < 0.1) return null;
  const change = (cameraH: number, focal: number): number =>
    Math.abs((distanceH(cameraH, focal) ?? 2 * base) / base - 1);
  const [a, b] = marks;
  const apartPx = a && b ? Math.hypot(a.f - b.f, a.d - b.d) : 1;
  const relSd = quadrature(
    TAPE_REL_SD,
    (Math.SQRT2 * MARK_SD_H * heightPx) / apartPx,
    // A lower lens changes more than a higher one: the larger counts.
    Math.max(...[-LENS_H.sd, LENS_H.sd].map((by) => change(LENS_H.value + by, focalPx))),
    change(LENS_H.value, focalPx * (1 + scale.focalSd)),
  );
  const value = known.distanceM / base;
  const isHorse = value >= LOWEST_WITHERS_M && value <= HIGHEST_WITHERS_M;
  return isHorse && Number.isFinite(relSd) ? { value, sd: value * relSd } : null;
}
