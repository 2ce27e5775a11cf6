import { gateLimbs } from './gate.ts';
import { lensOf, toStillOf } from './lens.ts';
import { leftOutS, ofOneHorse } from './oneHorse.ts';
import { trackPoint } from './pointTrack.ts';
import {
  type AllSeries,
  correctionSeries,
  eachPoint,
  groundLost,
  groundSdPx,
  heightsPx,
  observedSeries,
} from './series.ts';
import { settingsOf } from './settings.ts';
import { facings, seenSides } from './side.ts';
import { slowedBy } from './tempo.ts';
import { untangle } from './untangle.ts';
import type {
  Lens,
  MotionStep,
  ObservedFrame,
  PointCorrection,
  Similarity,
  Track,
  TrackPoint,
} from './types.ts';

export interface PictureSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

/** Another horse that is seen from the side for this long could have been measured, s. */
const LONG_S = 1;

/** Usual time between frames, s. */
function frameTime(timesS: readonly number[]): number {
  const steps = timesS.slice(1).map((t, i) => t - (timesS[i] ?? 0));
  return steps.sort((a, b) => a - b)[steps.length >> 1] ?? 1 / 30;
}

/** The same at another pace: every time divided by `by`. */
const faster = <T extends { readonly timeS: number }>(list: readonly T[], by: number): T[] =>
  list.map((one) => ({ ...one, timeS: one.timeS / by }));

function slowed(track: Track, timesS: readonly number[], by: number): Track {
  const slower = (p: TrackPoint | null): TrackPoint | null => p && { ...p, vx: p.vx / by, vy: p.vy / by };
  return { ...track, timesS, points: eachPoint((name) => track.points[name].map(slower)) };
}

/**
 * One horse's points through one clip, in the still frame (px of the first frame). Frames must come in order of time.
 * Where they show several (`identity`), the one that walks farthest past the camera counts: see ofOneHorse.
 * Without `motion` the camera counts as still. Corrections win over everything else.
 */
export function buildTrack(
  seenFrames: readonly ObservedFrame[],
  motion: readonly MotionStep[] | null,
  corrections: readonly PointCorrection[],
  picture: PictureSize,
): Track {
  const timesS = seenFrames.map(({ timeS }) => timeS);
  const lens = lensOf(motion, picture);
  const toStill = toStillOf(timesS, motion, picture, lens);
  const frames = ofOneHorse(seenFrames, toStill, lens);
  const heightPx = heightsPx(frames, toStill);
  const seen = observedSeries(frames, toStill, lens);
  const by = slowedBy(timesS, seen.withers, heightPx, Math.max(picture.widthPx, picture.heightPx));
  const still = { toStill, lens, heightPx, seen, groundSdPx: groundSdPx(motion) };
  const usual = trackAtUsualPace(faster(frames, by), still, faster(corrections, by), picture);
  const lost = groundLost(timesS, motion);
  return {
    ...slowed(usual, timesS, by),
    ...(frames.some(({ blurPx }) => blurPx !== undefined) ? { blurPx: frames.map(blurOf) } : {}),
    ...(lost.includes(true) ? { groundLost: lost } : {}),
    ...(leftOutS(seenFrames, frames) < LONG_S ? {} : { anotherLeftOut: true }),
  };
}

const blurOf = ({ horse, blurPx }: ObservedFrame): number | null => (horse && blurPx) ?? null;

/** What was seen in the still frame: the same at any pace. */
interface StillFrame {
  readonly toStill: readonly Similarity[];
  readonly lens: Lens | undefined;
  readonly heightPx: Float64Array;
  readonly seen: AllSeries;
  readonly groundSdPx: number;
}

/** The track of a horse that walks as fast as most do. */
function trackAtUsualPace(
  frames: readonly ObservedFrame[],
  { toStill, lens, heightPx, seen, groundSdPx }: StillFrame,
  corrections: readonly PointCorrection[],
  picture: PictureSize,
): Track {
  const timesS = frames.map(({ timeS }) => timeS);
  const seenSide = seenSides(frames);
  const set = correctionSeries(corrections, timesS, toStill, lens);
  const named = untangle({ timesS, heightPx, nearSide: seenSide, facing: facings(frames) }, seen, set);
  const series = gateLimbs(named, heightPx);
  const frameS = frameTime(timesS);
  return {
    timesS,
    points: eachPoint((name) =>
      trackPoint({
        timesS,
        frameS,
        heightPx,
        settings: settingsOf(name),
        seen: series[name],
        set: set[name],
      }),
    ),
    toStill,
    ...(lens ? { lens } : {}),
    seenSide,
    pictureWidthPx: picture.widthPx,
    pictureHeightPx: picture.heightPx,
    groundSdPx,
  };
}
