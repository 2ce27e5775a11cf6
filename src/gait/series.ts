import { extent } from 'simple-statistics';
import { FETLOCK, HOOF, LIMBS, POINT_NAMES, type Limb, type PointName, type Side } from '../points.ts';
import { firstFrom } from '../track/times.ts';
import { flatPlace } from '../track/turning.ts';
import type { Lens, Track, TrackPoint } from '../track/types.ts';
import { blurPxOf } from './blur.ts';
import { localPolynomial } from './localPolynomial.ts';
import { medianOf } from './statistics.ts';

/** A span of the clip in which the horse walks past with one side to the camera. */
export interface Span {
  readonly startS: number;
  readonly endS: number;
  /** The way it goes in the picture. */
  readonly direction: Side;
  readonly nearSide: Side;
}

/** A point in the span. F = px forward (the way the horse goes) from the middle of where the camera looked, D = px down. */
export interface Sample {
  readonly timeS: number;
  readonly f: number;
  readonly d: number;
  readonly sdPx: number;
  /** Put where it is by hand; of a toe found by its fetlock: the fetlock was. */
  readonly byHand: boolean;
}
export type Series = readonly (Sample | null)[];

/** All that the core reads of a track in one span: series as long as timesS. */
export interface SpanData {
  readonly span: Span;
  readonly timesS: readonly number[];
  /** Typical time between two frames, s. */
  readonly frameS: number;
  readonly points: Readonly<Record<PointName, Series>>;
  /** The toe, or where the toe must be by the fetlock while it is unseen. */
  readonly hooves: Readonly<Record<Limb, Series>>;
  /** x of the still frame where F is zero. */
  readonly centreXPx: number;
  readonly pictureLongPx: number;
  /** Median blur of the horse, px of the picture; null where it is not known. */
  readonly blurPx: number | null;
  /** As in the track; infinite where the ground was lost. */
  readonly groundSdPx: number;
  /** The camera's centre moved this far over the ground, px of the still frame. */
  readonly panPx: number;
  /** Of a camera that turned: F and D are px of its flat picture when it looked at F = 0. */
  readonly lens?: Lens;
}

/** Longest gap over which the fetlock stands in for the toe, s: about half a swing. */
const FETLOCK_GAP_S = 0.3;
/** SD of the toe taken from the fetlock, share of the toe-fetlock distance: the pastern turns as the limb rolls over. */
const FETLOCK_SHARE = 0.25;

const byName = <K extends string, V>(names: readonly K[], of: (name: K) => V): Record<K, V> =>
  Object.fromEntries(names.map((name) => [name, of(name)])) as Record<K, V>;

/**
 * Where the picture's centre lies in the still frame at these frames. A camera that goes along with the horse looks
 * square at the path half-way, not where its first frame happened to be.
 */
export function pictureCentres(track: Track, at: readonly number[]): number[] {
  const [x, y] = [(track.pictureWidthPx - 1) / 2, (track.pictureHeightPx - 1) / 2];
  return at.map((i) => {
    const m = track.toStill[i];
    return m ? m.a * x - m.b * y + m.tx : x;
  });
}

/** With more of the camera's steps lost than this, nobody knows where it went: our assumption, no source. */
const MOST_LOST = 1 / 3;

/** Whether the ground was lost in too many of some frames, by default of all. */
export const isGroundLost = (
  { groundLost, timesS }: Track,
  at: readonly number[] = [...timesS.keys()],
): boolean => at.filter((i) => groundLost?.[i]).length > MOST_LOST * at.length;

export function spanData(track: Track, span: Span): SpanData {
  const first = firstFrom(track.timesS, span.startS - 1e-9);
  const timesS = track.timesS.slice(first, firstFrom(track.timesS, span.endS + 1e-9));
  const at = timesS.map((_, k) => first + k);
  const sign = span.direction === 'right' ? 1 : -1;
  const centres = pictureCentres(track, at);
  const [leftmost, rightmost] = centres.length === 0 ? [0, 0] : extent(centres);
  const centre = (leftmost + rightmost) / 2;
  const toSample = (p: TrackPoint | null | undefined, timeS: number): Sample | null => {
    if (!p || !Number.isFinite(p.x) || !Number.isFinite(p.y) || !Number.isFinite(timeS)) return null;
    const { x, y, stretch } = flatPlace(track.lens, centre, p);
    return {
      timeS,
      f: sign * (x - centre),
      d: y,
      sdPx: stretch * (p.sdPx > 0.05 ? p.sdPx : 0.05),
      byHand: p.source === 'hand',
    };
  };
  const points = byName(POINT_NAMES, (name) =>
    at.map((i) => toSample(track.points[name][i], track.timesS[i] ?? Number.NaN)),
  );
  const hooves = byName(LIMBS, (limb) => withFetlock(points[HOOF[limb]], points[FETLOCK[limb]]));
  const intervals = timesS.slice(1).map((t, i) => t - (timesS[i] ?? t));
  return {
    span,
    timesS,
    frameS: medianOf(intervals) ?? 0,
    points,
    hooves,
    centreXPx: centre,
    pictureLongPx: Math.max(track.pictureWidthPx, track.pictureHeightPx),
    blurPx: blurPxOf(track, at),
    groundSdPx: isGroundLost(track, at) ? Infinity : track.groundSdPx,
    panPx: rightmost - leftmost,
    ...(track.lens ? { lens: track.lens } : {}),
  };
}

/** The second witness: where the toe is unseen, the fetlock plus the toe's offset from it on either side of the gap. */
function withFetlock(toe: Series, fetlock: Series): Series {
  const both = toe.flatMap((t, i) => {
    const f = fetlock[i];
    return t && f ? [{ timeS: t.timeS, f: t.f - f.f, d: t.d - f.d }] : [];
  });
  let next = 0;
  return toe.map((t, i) => {
    const joint = fetlock[i];
    if (t || !joint) return t;
    while ((both[next]?.timeS ?? Infinity) <= joint.timeS) next++;
    const [before, after] = [both[next - 1], both[next]];
    if (!before || !after || after.timeS - before.timeS > FETLOCK_GAP_S) return null;
    const share = (joint.timeS - before.timeS) / (after.timeS - before.timeS);
    const f = before.f + share * (after.f - before.f);
    const d = before.d + share * (after.d - before.d);
    return {
      timeS: joint.timeS,
      f: joint.f + f,
      d: joint.d + d,
      sdPx: Math.hypot(joint.sdPx, FETLOCK_SHARE * Math.hypot(f, d)),
      byHand: joint.byHand,
    };
  });
}

/** Samples that are there. */
export const seen = (series: Series): Sample[] => series.filter((s): s is Sample => s !== null);

/** Samples after one time and before another; samples come in order of time. */
export function between<S extends { readonly timeS: number }>(
  samples: readonly S[],
  fromS: number,
  toS: number,
): S[] {
  let [low, high] = [0, samples.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((samples[middle]?.timeS ?? 0) <= fromS) low = middle + 1;
    else high = middle;
  }
  let end = low;
  while ((samples[end]?.timeS ?? Infinity) < toS) end++;
  return samples.slice(low, end);
}

/** The height at the withers in the picture in each frame, px, roughly: lowest hooves against the withers. */
export function heightsPx(data: SpanData): (number | null)[] {
  return data.points.withers.map((w, i) => {
    const toes = LIMBS.flatMap((limb) => data.hooves[limb][i]?.d ?? []);
    return w && toes.length >= 2 ? Math.max(...toes) - w.d : null;
  });
}

/** Median of that over the span; null where unseen. */
export function roughHeightPx(data: SpanData): number | null {
  const height = medianOf(heightsPx(data).flatMap((h) => h ?? []));
  return height !== null && height > 4 ? height : null;
}

/** Strides are about this many withers heights long, whatever the horse. */
export const USUAL_STRIDE_H = 1.05;

/**
 * About one stride's time, s: in it the trunk goes a usual stride length. All windows are shares of it, so that a
 * clip played slowly, a pony and a tall horse are treated alike. Height and speed are compared frame by frame, as both
 * shrink when the horse goes away from the camera.
 */
export function paceS(data: SpanData, heightPx: number): number {
  const first = data.timesS[0] ?? 0;
  const last = data.timesS[data.timesS.length - 1] ?? first;
  const trunk = trunkF(data);
  const speedAt = (t: number, half: number): number =>
    localPolynomial(data.timesS, trunk, t, half, 1)?.slope ?? 0;
  const within = (pace: number): number | null =>
    Number.isFinite(pace) && pace > 0 ? Math.min(8, Math.max(0.3, pace)) : null;
  const rough =
    within((USUAL_STRIDE_H * heightPx) / speedAt((first + last) / 2, (last - first) / 2 + 1e-6)) ?? 1.2;
  const heights = heightsPx(data);
  const paces = data.timesS.flatMap((t, i) => {
    const height = localPolynomial(data.timesS, heights, t, 0.4 * rough, 1)?.value ?? Number.NaN;
    return heights[i] === null ? [] : (within((USUAL_STRIDE_H * height) / speedAt(t, 0.4 * rough)) ?? []);
  });
  return medianOf(paces) ?? rough;
}

export const TRUNK: readonly PointName[] = [
  'withers',
  'croup',
  'tailhead',
  'point_of_shoulder',
  'point_of_elbow',
];

/** Where the trunk is along F in each frame: mean of its points, each less its own median offset from the withers. */
export function trunkF(data: Pick<SpanData, 'points'>): (number | null)[] {
  const { withers } = data.points;
  const offsets = TRUNK.map((name) =>
    medianOf(data.points[name].flatMap((p, i) => (p && withers[i] ? [p.f - (withers[i]?.f ?? 0)] : []))),
  );
  return withers.map((_, i) => {
    const places = TRUNK.flatMap((name, k) => {
      const p = data.points[name][i];
      const offset = offsets[k] ?? null;
      return p && offset !== null ? [p.f - offset] : [];
    });
    return medianOf(places);
  });
}
