import { mean } from 'simple-statistics';
import { FETLOCK, HOOF, type Limb, type PointName } from '../points.ts';
import { eachPoint } from '../track/series.ts';
import { firstFrom } from '../track/times.ts';
import { flatPlace } from '../track/turning.ts';
import type { Track } from '../track/types.ts';
import { robustRegress } from './regression.ts';
import { focalOf } from './scale.ts';
import { pictureCentres } from './series.ts';
import { medianOf, type Estimate } from './statistics.ts';

/**
 * A horse that goes away from the camera or comes back. Lengths are in withers heights (H): along = the way it goes,
 * left = to its left, both from the foot of the camera and its axis. A place x px aside of the axis at a depth of z H lies
 * x z / f H aside, whatever f is: only depths need the focal length, widths need the horse's own size.
 */
export interface LineSpan {
  readonly kind: 'away' | 'towards';
  readonly startS: number;
  readonly endS: number;
}

/** A point in the flat picture of a camera that looks at the middle of the pass: px right of its axis, px down. */
export interface LineSample {
  readonly timeS: number;
  readonly x: number;
  readonly y: number;
  /** px/s of the still frame, to the right and down. */
  readonly vx: number;
  readonly vy: number;
  readonly score: number;
}
export type LineSeries = readonly (LineSample | null)[];

export interface LineData {
  readonly span: LineSpan;
  readonly timesS: readonly number[];
  readonly points: Readonly<Record<PointName, LineSeries>>;
  readonly focalPx: Estimate;
}

export function lineData(track: Track, span: LineSpan): LineData {
  const first = firstFrom(track.timesS, span.startS - 1e-9);
  const timesS = track.timesS.slice(first, firstFrom(track.timesS, span.endS + 1e-9));
  const centres = pictureCentres(
    track,
    timesS.map((_, k) => first + k),
  );
  const axisX = centres.length > 0 ? mean(centres) : (track.pictureWidthPx - 1) / 2;
  const sampleOf = (name: PointName, k: number): LineSample | null => {
    const p = track.points[name][first + k];
    if (!p || !Number.isFinite(p.x + p.y)) return null;
    const { x, y } = flatPlace(track.lens, axisX, p);
    return { timeS: timesS[k] ?? 0, x: x - axisX, y, vx: p.vx, vy: p.vy, score: p.score };
  };
  const longPx = Math.max(track.pictureWidthPx, track.pictureHeightPx);
  const focal = focalOf(track.lens, longPx);
  return {
    span,
    timesS,
    points: eachPoint((name) => timesS.map((_, k) => sampleOf(name, k))),
    focalPx: { value: focal.value * longPx, sd: focal.sd * longPx },
  };
}

/** The end of the horse that is nearer to the camera, and is not hidden: its legs, and the top that stands over them. */
export const nearEnd = ({
  kind,
}: LineSpan): { readonly limbs: readonly [Limb, Limb]; readonly top: PointName } =>
  kind === 'away' ? { limbs: ['LH', 'RH'], top: 'croup' } : { limbs: ['LF', 'RF'], top: 'withers' };

/** Height at the near end in a frame, px, roughly: the lower hoof against the top. */
export function roughHeights({ points, span, timesS }: LineData): (number | null)[] {
  const { limbs, top } = nearEnd(span);
  return timesS.map((_, i) => {
    const high = points[top][i];
    const low = limbs.flatMap((limb) => points[HOOF[limb]][i]?.y ?? points[FETLOCK[limb]][i]?.y ?? []);
    return high && low.length > 0 ? Math.max(...low) - high.y : null;
  });
}

/**
 * Depth of the near end's top at a time, H: the horse goes straight on at a steady speed, so that one over its height in
 * the picture rises or falls evenly.
 */
export interface Depth {
  readonly at: (timeS: number) => number;
  /** H/s, positive away from the camera. */
  readonly speed: number;
}

/** Null where the size was seen too little. `px`: heights in the picture. */
export function depthFrom(
  heights: readonly { readonly timeS: number; readonly px: number }[],
  focalPx: number,
): Depth | null {
  const middleS = medianOf(heights.map(({ timeS }) => timeS));
  const usual = medianOf(heights.map(({ px }) => px));
  if (middleS === null || usual === null || usual < 4) return null;
  const fit = robustRegress(
    heights
      .filter(({ px }) => px > 0.2 * usual)
      .map(({ timeS, px }) => ({ x: [1, timeS - middleS], y: focalPx / px, sd: focalPx / px })),
  );
  if (!fit) return null;
  const [depth = 0, speed = 0] = fit.coefficients;
  return { at: (timeS) => depth + speed * (timeS - middleS), speed };
}
