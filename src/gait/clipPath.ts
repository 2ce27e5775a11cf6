import { HOOF, isFore, LIMBS, type Limb, type PointName } from '../points.ts';
import { STANDING_SPEED } from '../track/settings.ts';
import { firstFrom } from '../track/times.ts';
import { toPicture } from '../track/turning.ts';
import type { Track, TrackPoint } from '../track/types.ts';
import { localPolynomial } from './localPolynomial.ts';
import { FOCAL_SHARE } from './scale.ts';
import { medianOf } from './statistics.ts';

/**
 * The way of the horse on the ground through a whole clip, as a plan from above with the camera at its middle. A horse
 * that looks h px tall is f / h withers heights away; where it is across the picture gives the way it must be looked
 * for. Only changes count, so that the focal length and the level of the camera matter little.
 */
export interface ClipPath {
  readonly timesS: readonly number[];
  readonly frames: readonly PathFrame[];
  /** Longest side of the part of the plan that it walked over, withers heights. */
  readonly reachH: number;
}

export interface PathFrame {
  /** Whether the horse was seen, here or a moment before and after. */
  readonly isSeen: boolean;
  /** Whether it was all in the picture: fore and hind hooves seen, no point at the picture's edge. */
  readonly isWhole: boolean;
  /** Of the body over the ground, withers heights a second, mean of about a second; null where unseen. */
  readonly speedH: number | null;
  /** The part of it that leads away from the camera. */
  readonly awayH: number | null;
  /** Distance from the camera, withers heights. */
  readonly distanceH: number | null;
  /** The way it goes: 0 as the still frame's middle looks, clockwise from above, radians. */
  readonly headingRad: number | null;
  /** The same from the line of sight: 0 away, +-pi towards, pi / 2 to the right. */
  readonly aspectRad: number | null;
  /** Hooves that were seen in this frame and the next ones, and those of them that moved. */
  readonly hooves: { readonly seen: number; readonly moving: number };
}

/** Half the windows over which the body's and a hoof's speed are taken, s: half a stride; a third of a swing. */
const BODY_WINDOW_S = 0.5;
const HOOF_WINDOW_S = 0.12;
/** Longest time without the horse that counts as seen, s. */
const LONGEST_HOLE_S = 0.5;
/** Hooves that hide for a moment don't make a horse half seen, s. */
const HIDDEN_S = 0.25;
/** A horse so near the picture's edge may reach beyond it, share of its long side. */
const EDGE = 0.004;

type Maybe = number | null;

/** Where one end of the horse is: distance in heights, angle to the right, and both as a place on the plan. */
interface PlanPlace {
  readonly distance: number;
  readonly angle: number;
  readonly x: number;
  readonly z: number;
}

/** Focal length, px, and the still frame's middle, px. */
const opticsOf = ({ lens, pictureWidthPx, pictureHeightPx }: Track): { focalPx: number; middleX: number } =>
  lens && lens.kappa > 0
    ? { focalPx: 1 / Math.sqrt(lens.kappa), middleX: lens.centre.x }
    : {
        focalPx: FOCAL_SHARE.value * Math.max(pictureWidthPx, pictureHeightPx),
        middleX: (pictureWidthPx - 1) / 2,
      };

/** Height in the picture of one end of the horse: its top over the lowest of its hooves, px. */
function endHeightPx(track: Track, top: TrackPoint | null | undefined, fore: boolean, i: number): Maybe {
  const hooves = LIMBS.filter((limb) => isFore(limb) === fore).flatMap(
    (limb) => track.points[HOOF[limb]][i]?.y ?? [],
  );
  const height = top && hooves.length > 0 ? Math.max(...hooves) - top.y : 0;
  return height > 4 ? height : null;
}

function planPlaces(track: Track, top: PointName, fore: boolean): (PlanPlace | null)[] {
  const { focalPx, middleX } = opticsOf(track);
  const turned = (track.lens?.kappa ?? 0) > 0;
  return track.points[top].map((p, i) => {
    const height = endHeightPx(track, p, fore, i);
    if (!p || height === null) return null;
    const across = (p.x - middleX) / focalPx;
    const angle = turned ? across : Math.atan(across);
    // On the cylinder heights shrink with the distance, in a flat picture with the depth.
    const distance = focalPx / height / (turned ? 1 : Math.cos(angle));
    return { distance, angle, x: distance * Math.sin(angle), z: distance * Math.cos(angle) };
  });
}

/** Mean of those that are there. */
function meanOf(values: readonly (number | null | undefined)[]): Maybe {
  const there = values.filter((v): v is number => v !== null && v !== undefined);
  return there.length === 0 ? null : there.reduce((s, v) => s + v, 0) / there.length;
}

/** Change per second, and value, of something of both ends of the horse: slopes first, as the ends differ in place. */
function changing(
  track: Track,
  ends: readonly (readonly (PlanPlace | null)[])[],
  key: keyof PlanPlace,
): { slopes: Maybe[]; values: Maybe[] } {
  const series = ends.map((end) => end.map((place) => place?.[key] ?? null));
  const fits = track.timesS.map((timeS) =>
    series.map((values) => {
      const fit = localPolynomial(track.timesS, values, timeS, BODY_WINDOW_S, 1);
      return fit && fit.count >= 3 ? fit : null;
    }),
  );
  return {
    slopes: fits.map((both) => meanOf(both.map((fit) => fit?.slope))),
    values: fits.map((both) => meanOf(both.map((fit) => fit?.value))),
  };
}

/** Where something holds, and between two such frames no farther apart than `longestS`. */
function bridged(timesS: readonly number[], holds: readonly boolean[], longestS: number): boolean[] {
  const out = [...holds];
  let last = -1;
  holds.forEach((held, i) => {
    if (!held) return;
    if (last >= 0 && (timesS[i] ?? 0) - (timesS[last] ?? 0) <= longestS) out.fill(true, last, i);
    last = i;
  });
  return out;
}

function wholeFrames(track: Track): boolean[] {
  const { timesS, points, lens, pictureWidthPx, pictureHeightPx } = track;
  const margin = EDGE * Math.max(pictureWidthPx, pictureHeightPx);
  const isInside = (p: { x: number; y: number }): boolean =>
    Math.min(p.x, p.y) >= margin && p.x <= pictureWidthPx - 1 - margin && p.y <= pictureHeightPx - 1 - margin;
  const inside = timesS.map((_, i) => {
    const still = track.toStill[i];
    return Object.values(points).every((series) => {
      const p = series[i];
      return !p || !still || isInside(toPicture(lens, still, p));
    });
  });
  const has = (fore: boolean): boolean[] => {
    const limbs = LIMBS.filter((limb) => isFore(limb) === fore);
    const seen = timesS.map((_, i) => limbs.some((limb) => (points[HOOF[limb]][i] ?? null) !== null));
    return bridged(timesS, seen, HIDDEN_S);
  };
  const [fore, hind] = [has(true), has(false)];
  return inside.map((all, i) => all && fore[i] === true && hind[i] === true);
}

/** Speed of a hoof over the still frame, px/s. */
function hoofSpeeds(track: Track, limb: Limb, halfS: number): Maybe[] {
  const series = track.points[HOOF[limb]];
  const [xs, ys] = [series.map((p) => p?.x ?? null), series.map((p) => p?.y ?? null)];
  return track.timesS.map((timeS, i) => {
    if (!series[i]) return null;
    const x = localPolynomial(track.timesS, xs, timeS, halfS, 1);
    const y = localPolynomial(track.timesS, ys, timeS, halfS, 1);
    return x && y ? Math.hypot(x.slope, y.slope) : null;
  });
}

function movingHooves(track: Track, frameS: number, heightsPx: readonly Maybe[]): PathFrame['hooves'][] {
  const halfS = Math.max(HOOF_WINDOW_S, 1.2 * frameS);
  const speeds = LIMBS.map((limb) => hoofSpeeds(track, limb, halfS));
  return track.timesS.map((_, i) => {
    const height = heightsPx[i] ?? null;
    const now = height === null ? [] : speeds.flatMap((list) => list[i] ?? []);
    return { seen: now.length, moving: now.filter((v) => v > STANDING_SPEED * (height ?? 0)).length };
  });
}

/** The way of the horse through the clip; as many frames as the track has. */
export function clipPath(track: Track): ClipPath {
  const { timesS } = track;
  const ends = [planPlaces(track, 'withers', true), planPlaces(track, 'croup', false)];
  const seen = timesS.map((_, i) => ends.some((end) => (end[i] ?? null) !== null));
  const isSeen = bridged(timesS, seen, LONGEST_HOLE_S);
  const [x, z] = [changing(track, ends, 'x'), changing(track, ends, 'z')];
  const { focalPx } = opticsOf(track);
  const [distance, angle] = [changing(track, ends, 'distance'), changing(track, ends, 'angle')];
  const frameS = medianOf(timesS.slice(1).map((t, i) => t - (timesS[i] ?? t))) ?? 0;
  const heights = distance.values.map((r) => (r === null ? null : focalPx / r));
  const hooves = movingHooves(track, frameS, heights);
  const whole = wholeFrames(track);
  const frames = timesS.map((_, i): PathFrame => {
    const [vx, vz, at] = [x.slopes[i] ?? null, z.slopes[i] ?? null, angle.values[i] ?? null];
    const there = isSeen[i] === true && vx !== null && vz !== null && at !== null;
    const heading = there ? Math.atan2(vx, vz) : null;
    return {
      isSeen: there,
      isWhole: there && whole[i] === true,
      speedH: there ? Math.hypot(vx, vz) : null,
      awayH: there ? (distance.slopes[i] ?? null) : null,
      distanceH: there ? (distance.values[i] ?? null) : null,
      headingRad: heading,
      aspectRad: heading === null || at === null ? null : wrapped(heading - at),
      hooves: hooves[i] ?? { seen: 0, moving: 0 },
    };
  });
  const range = (values: readonly Maybe[]): number => {
    const there = values.filter((v): v is number => v !== null);
    return (
      there.reduce((a, b) => Math.max(a, b), -Infinity) - there.reduce((a, b) => Math.min(a, b), Infinity)
    );
  };
  return { timesS, frames, reachH: Math.max(0, range(x.values), range(z.values)) };
}

/** Most led horses walk faster than this, heights a second: .76, SD .13, of ridden ones (see slowMotion.ts). */
const USUAL_SPEED_H = 0.65;
/** A horse that got no farther than this may as well stand, heights. */
const STOOD_WITHIN_H = 1;
const MOST_SLOWED = 8;

/**
 * How many times slower than a usual walk the horse goes where it goes fast: windows are made for strides, not seconds,
 * and a clip may be played at half speed. 1 for one that goes faster.
 */
export function slowedBy({ frames, reachH }: ClipPath): number {
  const speeds = frames.flatMap(({ speedH }) => speedH ?? []).sort((a, b) => a - b);
  const fast = speeds[Math.floor(0.9 * speeds.length)] ?? 0;
  if (reachH <= STOOD_WITHIN_H || !(fast > 0)) return 1;
  return Math.min(MOST_SLOWED, Math.max(1, USUAL_SPEED_H / fast));
}

/** The same angle between -pi and pi. */
export const wrapped = (rad: number): number => rad - 2 * Math.PI * Math.round(rad / (2 * Math.PI));

/** First and one past the last index of the frames no farther than `halfS` from a time. */
export const around = (timesS: readonly number[], timeS: number, halfS: number): [number, number] => [
  firstFrom(timesS, timeS - halfS - 1e-9),
  firstFrom(timesS, timeS + halfS + 1e-9),
];
