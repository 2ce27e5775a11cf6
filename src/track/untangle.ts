/** Points of the legs under their true names, stretch by stretch of one view. */
import { FETLOCK, HOOF, KNEE_OR_HOCK, type Limb, type PointName, type Side } from '../points.ts';
import type { PairFrame, PairLooks } from './legNames.ts';
import { assignLegs } from './legs.ts';
import type { Look } from './legTracker.ts';
import { pathSlopes } from './pathSlope.ts';
import { type AllSeries, emptySeries, type Series } from './series.ts';
import { CORRECTION_SD, observationSd, settingsOf } from './settings.ts';
import type { Facing } from './side.ts';

const PAIRS: readonly (readonly [left: Limb, right: Limb])[] = [
  ['LF', 'RF'],
  ['LH', 'RH'],
];
const pointsOf = (limb: Limb): readonly PointName[] => [KNEE_OR_HOCK[limb], FETLOCK[limb], HOOF[limb]];

/** What the names rest on beside the points, frame by frame. */
export interface Views {
  readonly timesS: readonly number[];
  readonly heightPx: Float64Array;
  readonly nearSide: readonly (Side | null)[];
  readonly facing: readonly (Facing | null)[];
}

/** A view of less than this belongs to the one before, s. */
const LEAST_VIEW_S = 0.5;

interface Stretch {
  readonly from: number;
  readonly to: number;
}

/**
 * Stretches of frames [from, to) in which the horse is seen from one side, or from neither. Legs are followed through
 * each by itself: while a horse turns its legs pass each other in the picture as they don't on a straight way, and one
 * mistake there would go on, foot by foot as smooth as the truth, through all of the way that follows.
 */
function stretches({ timesS, nearSide }: Views): Stretch[] {
  const starts = [0];
  for (let i = 1; i < timesS.length; i++) if (nearSide[i] !== nearSide[i - 1]) starts.push(i);
  const all = starts.map((from, k) => ({ from, to: starts[k + 1] ?? timesS.length }));
  const lastsS = ({ from, to }: Stretch): number => (timesS[to - 1] ?? 0) - (timesS[from] ?? 0);
  const sideOf = ({ from }: Stretch): Side | null => nearSide[from] ?? null;
  const long = all.filter((one, k) => k === 0 || lastsS(one) >= LEAST_VIEW_S);
  const views = long.filter((one, k) => k === 0 || sideOf(one) !== sideOf(long[k - 1] as Stretch));
  return views.map(({ from }, k) => ({ from, to: views[k + 1]?.from ?? timesS.length }));
}

const middle = (values: Float64Array): number => Float64Array.from(values).sort()[values.length >> 1] ?? 1;

function look(series: Series, name: PointName, i: number, heightPx: number, byHand: boolean): Look | null {
  const score = series.score[i] ?? 0;
  if (score <= 0) return null;
  const sd = byHand ? CORRECTION_SD : observationSd(settingsOf(name), score);
  return { x: (series.x[i] ?? 0) / heightPx, y: (series.y[i] ?? 0) / heightPx, sd, score };
}

/** Points of both legs of each pair under their true names. */
export function untangle(views: Views, seen: AllSeries, set: AllSeries): AllSeries {
  const series = { ...seen };
  const slopes = pathSlopes(views.timesS, seen);
  const parts = stretches(views);
  for (const [left, right] of PAIRS) {
    const names = [...pointsOf(left), ...pointsOf(right)];
    const fresh = names.map(() => emptySeries(views.timesS.length));
    for (const part of parts) {
      const frames = pairFrames(views, part, slopes, names, seen, set);
      assignLegs(frames).forEach((takes, k) => take(takes, part.from + k, names, seen, fresh));
    }
    names.forEach((name, k) => (series[name] = fresh[k] as Series));
  }
  return series;
}

function pairFrames(
  { timesS, heightPx, nearSide, facing }: Views,
  { from, to }: Stretch,
  slopes: ArrayLike<number>,
  names: readonly PointName[],
  seen: AllSeries,
  set: AllSeries,
): PairFrame[] {
  const height = middle(heightPx.subarray(from, to));
  const looks = (of: AllSeries, i: number, byHand: boolean): PairLooks =>
    names.map((name) => look(of[name], name, i, height, byHand));
  return timesS.slice(from, to).map((timeS, k): PairFrame => {
    const i = from + k;
    return {
      timeS,
      seen: looks(seen, i, false),
      set: looks(set, i, true),
      nearSide: nearSide[i] ?? null,
      facing: facing[i] ?? null,
      slope: slopes[i] ?? 0,
    };
  });
}

/** Writes the looks that a frame's points take, by index into `names`, under their own names. */
function take(
  takes: readonly number[],
  i: number,
  names: readonly PointName[],
  seen: AllSeries,
  fresh: readonly Series[],
): void {
  takes.forEach((from, to) => {
    const name = names[from];
    const target = fresh[to];
    if (!name || !target) return;
    target.x[i] = seen[name].x[i] ?? NaN;
    target.y[i] = seen[name].y[i] ?? NaN;
    target.score[i] = seen[name].score[i] ?? 0;
  });
}
