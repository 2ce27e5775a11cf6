import { HOOF, LIMBS, POINT_NAMES, type PointName } from '../points.ts';
import { leastScore, MIN_SCORE } from './settings.ts';
import { isRest } from './lens.ts';
import { IDENTITY, scaleOf } from './similarity.ts';
import { nearestIndex } from './times.ts';
import { toStillFrame } from './turning.ts';
import type { Lens, MotionStep, ObservedFrame, PointCorrection, Similarity } from './types.ts';

/** One point through the clip, px of the still frame; NaN and score 0 where it was not seen. */
export interface Series {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly score: Float64Array;
}
export type AllSeries = Readonly<Record<PointName, Series>>;

export const emptySeries = (n: number): Series => ({
  x: new Float64Array(n).fill(NaN),
  y: new Float64Array(n).fill(NaN),
  score: new Float64Array(n),
});

export const eachPoint = <T>(make: (name: PointName) => T): Record<PointName, T> =>
  Object.fromEntries(POINT_NAMES.map((name) => [name, make(name)])) as Record<PointName, T>;

/** SD of a step whose own isn't known, px. */
const USUAL_STEP_SD_PX = 0.1;

/**
 * SD that the camera's motion adds per square root of a frame, px; 0 where it was seen to stand still. A step that was
 * lost is no rest, though it be the identity: before ground without marks a camera that moves looks as one that stands.
 */
export function groundSdPx(motion: readonly MotionStep[] | null): number {
  const unsure = (motion ?? []).filter((step) => !step.ok || !isRest(step));
  if (!motion || unsure.length === 0) return 0;
  const seen = motion.filter(({ ok }) => ok);
  const moved = seen.filter((step) => !isRest(step));
  const sdPx =
    median((moved.length > 0 ? moved : seen).map((step) => step.sdPx ?? USUAL_STEP_SD_PX)) ??
    USUAL_STEP_SD_PX;
  const lost = (motion.length - seen.length) / unsure.length;
  return sdPx * (1 + 20 * lost) * Math.sqrt(unsure.length / motion.length);
}

/** For each frame, whether the camera's motion since the frame before was lost. */
export function groundLost(timesS: readonly number[], motion: readonly MotionStep[] | null): boolean[] {
  let next = 0;
  return timesS.map((timeS) => {
    let lost = false;
    for (; motion && next < motion.length && (motion[next]?.timeS ?? Infinity) <= timeS + 1e-6; next++)
      lost ||= motion[next]?.ok === false;
    return lost;
  });
}

export function observedSeries(
  frames: readonly ObservedFrame[],
  toStill: readonly Similarity[],
  lens?: Lens,
): AllSeries {
  return eachPoint((name) => {
    const series = emptySeries(frames.length);
    frames.forEach((frame, i) => {
      const seen = frame.horse?.points[name];
      const still = toStill[i];
      if (!seen || !still || !(seen.score >= leastScore(name)) || !Number.isFinite(seen.x + seen.y)) return;
      const p = toStillFrame(lens, still, seen);
      series.x[i] = p.x;
      series.y[i] = p.y;
      series.score[i] = Math.min(1, seen.score);
    });
    return series;
  });
}

/** Corrections by frame, in the still frame; where two name one point of one frame, the later in the list counts. */
export function correctionSeries(
  corrections: readonly PointCorrection[],
  timesS: readonly number[],
  toStill: readonly Similarity[],
  lens?: Lens,
): AllSeries {
  const all = eachPoint(() => emptySeries(timesS.length));
  for (const correction of corrections) {
    const i = nearestIndex(timesS, correction.timeS);
    const still = toStill[i];
    const series = all[correction.point];
    if (!still || !series || !Number.isFinite(correction.x + correction.y)) continue;
    const p = toStillFrame(lens, still, correction);
    series.x[i] = p.x;
    series.y[i] = p.y;
    series.score[i] = 1;
  }
  return all;
}

const median = (values: readonly number[]): number | null => {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? null;
};

/** Every so many frames a height is worked out; between them it holds. */
const HEIGHT_LOOKS = 60;

/** Height at the withers of each frame in px of the still frame: a scale for noise and gates, not a measure. */
export function heightsPx(frames: readonly ObservedFrame[], toStill: readonly Similarity[]): Float64Array {
  const single = frames.map((frame, i) => {
    const points = frame.horse?.points;
    const withers = points?.withers;
    const hooves = LIMBS.map((limb) => points?.[HOOF[limb]]).filter(
      (p) => p !== undefined && p.score >= MIN_SCORE,
    );
    const scale = scaleOf(toStill[i] ?? IDENTITY);
    if (withers && withers.score >= MIN_SCORE && hooves.length > 0) {
      const height = Math.max(...hooves.map((p) => p?.y ?? -Infinity)) - withers.y;
      if (height > 0) return height * scale;
    }
    return NaN;
  });
  const boxes = frames.map((frame, i) =>
    frame.horse ? 0.85 * (frame.horse.box[3] - frame.horse.box[1]) * scaleOf(toStill[i] ?? IDENTITY) : NaN,
  );
  const known = single.some(Number.isFinite) ? single : boxes;
  const whole = median(known.filter(Number.isFinite)) ?? 1;
  const out = new Float64Array(frames.length);
  const stride = Math.max(1, Math.ceil(frames.length / HEIGHT_LOOKS));
  for (let start = 0; start < frames.length; start += stride) {
    const near = known.slice(Math.max(0, start - 2 * stride), start + 3 * stride).filter(Number.isFinite);
    out.fill((near.length >= 5 ? median(near) : whole) ?? whole, start, start + stride);
  }
  return out;
}
