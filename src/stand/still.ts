/** Where in a clip the horse stands still, and where its points are while it does. */
import { mean } from 'simple-statistics';
import { focalOf } from '../gait/scale.ts';
import { pictureCentres } from '../gait/series.ts';
import { medianOf } from '../gait/statistics.ts';
import { HOOF, LIMBS, limbSide, POINT_NAMES, type Limb, type PointName, type Side } from '../points.ts';
import { firstFrom } from '../track/times.ts';
import { flatPlace } from '../track/turning.ts';
import type { Track } from '../track/types.ts';
import type { StandPoints } from './places.ts';
import type { StandOptions } from './types.ts';

/** All hooves rest for this long at least, s. */
export const LEAST_STILL_S = 0.4;
/** A hoof rests below this speed, H/s: a swing is ten times as fast, noise of 1 % between two means a fifth. */
export const REST_H_PER_S = 0.15;
/** Speeds are those between the means of so long before and after a moment, s; less at the ends of a clip. */
const HALF_S = 0.2;
/** Errors of neighbouring frames are alike: about one independent look every fifth of a second, as for passes. */
const LOOK_S = 0.2;

export interface StillSpan {
  /** First and last frame. */
  readonly first: number;
  readonly last: number;
  readonly nearSide: Side;
}

/** Frames of [fromS, toS). */
const within = ({ timesS }: Track, fromS: number, toS: number): readonly [number, number] => [
  firstFrom(timesS, fromS),
  firstFrom(timesS, toS),
];

interface Mean {
  readonly timeS: number;
  readonly x: number;
  readonly y: number;
}

function meanPlace(track: Track, name: PointName, [from, to]: readonly [number, number]): Mean | null {
  const seen = track.points[name].slice(from, to).flatMap((p, k) => {
    const timeS = track.timesS[from + k];
    return p && timeS !== undefined && Number.isFinite(p.x + p.y) ? [{ timeS, x: p.x, y: p.y }] : [];
  });
  if (seen.length === 0) return null;
  const of = (key: keyof Mean): number => mean(seen.map((p) => p[key]));
  return { timeS: of('timeS'), x: of('x'), y: of('y') };
}

/** Px a second over the ground; null where the hoof is not seen on both sides of the moment. */
function speedOf(track: Track, limb: Limb, timeS: number): number | null {
  const { timesS } = track;
  const fromS = Math.max(timeS - HALF_S, timesS[0] ?? timeS);
  const toS = Math.min(timeS + HALF_S, timesS.at(-1) ?? timeS);
  const middleS = (fromS + toS) / 2;
  const before = meanPlace(track, HOOF[limb], within(track, fromS - 1e-9, middleS));
  const after = meanPlace(track, HOOF[limb], within(track, middleS, toS + 1e-9));
  if (!before || !after || after.timeS - before.timeS < 1e-3) return null;
  return Math.hypot(after.x - before.x, after.y - before.y) / (after.timeS - before.timeS);
}

/** Withers over the lowest hoof, px. */
function roughHeight(track: Track): number | null {
  return medianOf(
    track.timesS.flatMap((_, i) => {
      const top = track.points.withers[i];
      const low = LIMBS.flatMap((limb) => track.points[HOOF[limb]][i]?.y ?? []);
      const height = top && low.length > 0 ? Math.max(...low) - top.y : NaN;
      return height > 0 && Number.isFinite(height) ? [height] : [];
    }),
  );
}

/** Whether no hoof moves, those of the near side being seen; a far one behind a near leg may be hidden. */
function isStill(track: Track, timeS: number, nearSide: Side, heightPx: number): boolean {
  return LIMBS.every((limb) => {
    const speed = speedOf(track, limb, timeS);
    return speed === null ? limbSide(limb) !== nearSide : speed < REST_H_PER_S * heightPx;
  });
}

/** Spans of LEAST_STILL_S or more in which the horse is seen from one side and rests on all its hooves. */
export function stillSpans(track: Track): StillSpan[] {
  const heightPx = roughHeight(track);
  if (heightPx === null) return [];
  const sides = track.timesS.map((timeS, i) => {
    const side = track.seenSide[i] ?? null;
    return side && isStill(track, timeS, side, heightPx) ? side : null;
  });
  const spans: { first: number; last: number; nearSide: Side }[] = [];
  sides.forEach((side, i) => {
    const open = spans.at(-1);
    if (side === null) return;
    if (open && open.last === i - 1 && open.nearSide === side) open.last = i;
    else spans.push({ first: i, last: i, nearSide: side });
  });
  const at = (i: number): number => track.timesS[i] ?? 0;
  return spans.filter(({ first, last }) => at(last) - at(first) >= LEAST_STILL_S - 1e-9);
}

export interface StillPoints {
  readonly points: StandPoints;
  readonly options: StandOptions;
}

/**
 * The points of a still stand, each the mean of its frames `first` to `last`, in px of the flat picture of a camera that
 * looks the way it did half-way; and what standMeasures needs to know of them. The horse has to stand still meanwhile.
 */
export function stillPoints(track: Track, { first, last, nearSide }: StillSpan): StillPoints {
  const at = track.timesS.flatMap((_, i) => (i >= first && i <= last ? [i] : []));
  const centres = pictureCentres(track, at);
  const centreXPx = centres.length > 0 ? mean(centres) : (track.pictureWidthPx - 1) / 2;
  const meanOf = (name: PointName): { x: number; y: number } | null => {
    const p = meanPlace(track, name, [first, last + 1]);
    if (!p) return null;
    const { x, y } = flatPlace(track.lens, centreXPx, p);
    return { x, y };
  };
  const isByHand = (name: PointName): boolean => at.some((i) => track.points[name][i]?.source === 'hand');
  const lastsS = (track.timesS[last] ?? 0) - (track.timesS[first] ?? 0);
  const { pictureWidthPx, pictureHeightPx } = track;
  return {
    points: Object.fromEntries(POINT_NAMES.map((name) => [name, meanOf(name)])),
    options: {
      ...{ nearSide, pictureWidthPx, pictureHeightPx, centreXPx },
      focalShare: focalOf(track.lens, Math.max(pictureWidthPx, pictureHeightPx)),
      looks: Math.max(1, Math.min(at.length, lastsS / LOOK_S)),
      byHand: POINT_NAMES.filter(isByHand),
    },
  };
}
