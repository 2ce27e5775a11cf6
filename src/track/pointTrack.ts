import { type KnownBias, spreadBias } from './bias.ts';
import type { Series } from './series.ts';
import {
  CORRECTION_SD,
  observationSd,
  OUTLIER_SDS,
  type PointSettings,
  SAME_PLACE,
  STANDING_GAP_S,
} from './settings.ts';
import { smooth, type Smoothed } from './smoother.ts';
import { slowFrames, standingFrames } from './standing.ts';
import type { TrackPoint } from './types.ts';

export interface PointInput {
  readonly timesS: readonly number[];
  /** Usual time between frames, s. */
  readonly frameS: number;
  readonly heightPx: Float64Array;
  readonly settings: PointSettings;
  /** What the network saw, and what was put right by hand; px of the still frame. */
  readonly seen: Series;
  readonly set: Series;
}

interface Looked {
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Variance, px^2; infinite where there is no look. */
  readonly variance: Float64Array;
  /** Looks that nothing may overrule. */
  readonly certain: readonly boolean[];
}

interface Fit {
  readonly path: Smoothed;
  readonly used: readonly boolean[];
  readonly slow: readonly boolean[];
  readonly standing: readonly boolean[];
}

const has = (series: Series, i: number): boolean => (series.score[i] ?? 0) > 0;

function networkLooks({ seen, settings, heightPx }: PointInput): Looked {
  const variance = seen.score.map((score, i) =>
    score > 0 ? (observationSd(settings, score) * (heightPx[i] ?? 1)) ** 2 : Infinity,
  );
  return { x: seen.x, y: seen.y, variance, certain: [] };
}

function densities({ settings, heightPx }: PointInput, standing: readonly boolean[]): Float64Array {
  return heightPx.map((h, i) => (standing[i] ? settings.standing : settings.moving) * h * h);
}

/** Squared distance of each look from where the others say it is, in its own SDs, one a coordinate. */
function surprise(looked: Looked, variance: Float64Array, path: Smoothed, i: number): number {
  const r = looked.variance[i] ?? Infinity;
  if (!Number.isFinite(r)) return 0;
  const p = path.variance[i] ?? 0;
  const e2 =
    (((looked.x[i] ?? 0) - (path.x[i] ?? 0)) ** 2 + ((looked.y[i] ?? 0) - (path.y[i] ?? 0)) ** 2) / 2;
  const own = variance[i] ?? Infinity;
  // Leaving one look out of the smoothed path (own variance v): e v / (v - p), variance p v / (v - p).
  if (!Number.isFinite(own)) return e2 / (r + p);
  const free = Math.max(own - p, 1e-3 * own);
  return (e2 * (own / free) ** 2) / (r + (p * own) / free);
}

/** Half of a chi-square of 2 degrees of freedom has this median. */
const USUAL_SURPRISE = Math.LN2;

/** Variances are known this well without the clip's own evidence, as that many looks would tell. */
const PRIOR_LOOKS = 10;

/**
 * By how much this point's variance in this clip is that of a sure one; told by the frames in which it stands if it
 * ever does, as a swing hides the noise.
 */
function noiseFactor(looked: Looked, path: Smoothed, standing: readonly boolean[]): number {
  const some: number[] = [];
  looked.variance.forEach((r, i) => {
    const tells = standing.length === 0 || standing[i] === true;
    if (Number.isFinite(r) && !looked.certain[i] && tells)
      some.push(surprise(looked, looked.variance, path, i));
  });
  some.sort((a, b) => a - b);
  const factor = (some[some.length >> 1] ?? USUAL_SURPRISE) / USUAL_SURPRISE;
  const shrunk = (some.length * factor + PRIOR_LOOKS) / (some.length + PRIOR_LOOKS);
  return Math.min(16, Math.max(0.5, shrunk));
}

/** A way to smooth one point's looks: once as if it always moved, or with the frames in which it stands. */
type Pass = (variance: Float64Array, standing: readonly boolean[]) => Smoothed;

function passes(input: PointInput, { x, y }: Looked): Pass {
  const moving = densities(input, []);
  return (variance, standing) =>
    smooth({
      timesS: input.timesS,
      x,
      y,
      variance,
      density: standing.length > 0 ? densities(input, standing) : moving,
    });
}

function stand(input: PointInput, path: Smoothed): { slow: boolean[]; standing: boolean[] } {
  const slow = slowFrames(input.timesS, path, input.heightPx);
  const never = input.settings.standing === input.settings.moving;
  const standing = never ? [] : standingFrames(input.timesS, slow);
  return { slow, standing: standing.includes(true) ? standing : [] };
}

/** Looks with the noise that they have in this clip. */
function withOwnNoise(input: PointInput, raw: Looked, pass: Pass): Looked {
  const moving = pass(raw.variance, []);
  const { standing } = stand(input, moving);
  const path = standing.length > 0 ? pass(raw.variance, standing) : moving;
  const factor = noiseFactor(raw, path, standing);
  return { ...raw, variance: raw.variance.map((r, i) => (raw.certain[i] ? r : r * factor)) };
}

/** Which looks belong to the path: the others are weighed down step by step, then judged by the rest. */
function belonging(looked: Looked, pass: Pass): boolean[] {
  let variance = looked.variance;
  let path = pass(variance, []);
  for (let round = 0; round < 2; round++) {
    const now = variance;
    variance = looked.variance.map((r, i) =>
      looked.certain[i] ? r : r * Math.max(1, surprise(looked, now, path, i) / 2) ** 1.5,
    );
    path = pass(variance, []);
  }
  const gate = OUTLIER_SDS ** 2 / 2;
  return [...looked.variance].map(
    (r, i) =>
      Number.isFinite(r) && (looked.certain[i] === true || surprise(looked, variance, path, i) <= gate),
  );
}

/** Smooths, leaves out what doesn't belong, and finds where the point stands. */
function fit(input: PointInput, raw: Looked): Fit {
  const pass = passes(input, raw);
  const looked = withOwnNoise(input, raw, pass);
  const used = belonging(looked, pass);
  const variance = looked.variance.map((r, i) => (used[i] ? r : Infinity));
  const moving = pass(variance, []);
  const { slow, standing } = stand(input, moving);
  return { path: standing.length > 0 ? pass(variance, standing) : moving, used, slow, standing };
}

/** Looks with the corrections among them, and the network's looks shifted by the error that they reveal. */
function correctedLooks(input: PointInput, before: Fit): Looked {
  const { set, seen, timesS, heightPx } = input;
  const known: KnownBias[] = [];
  set.score.forEach((score, index) => {
    const [x, y] = [
      (set.x[index] ?? 0) - (before.path.x[index] ?? NaN),
      (set.y[index] ?? 0) - (before.path.y[index] ?? NaN),
    ];
    if (score > 0 && Number.isFinite(x + y)) known.push({ index, x, y });
  });
  const bias = spreadBias(known, timesS, before.standing, heightPx);
  const network = networkLooks(input);
  const pick = (i: number, corrected: number, otherwise: number): number =>
    has(set, i) ? corrected : otherwise;
  return {
    x: seen.x.map((x, i) => pick(i, set.x[i] ?? NaN, x + (bias.x[i] ?? 0))),
    y: seen.y.map((y, i) => pick(i, set.y[i] ?? NaN, y + (bias.y[i] ?? 0))),
    variance: network.variance.map((r, i) =>
      pick(i, (CORRECTION_SD * (heightPx[i] ?? 1)) ** 2, r + (bias.sdPx[i] ?? 0) ** 2),
    ),
    certain: [...set.score].map((score) => score > 0),
  };
}

/** Frames without a look of their own that the frames around allow to bridge. */
function bridged(input: PointInput, { path, used, slow }: Fit): boolean[] {
  const { timesS, frameS, heightPx, settings } = input;
  const out = used.map(() => false);
  let last = -1;
  used.forEach((isUsed, i) => {
    if (!isUsed) return;
    const missingS = (timesS[i] ?? 0) - (timesS[last] ?? 0) - frameS;
    const way = Math.hypot((path.x[i] ?? 0) - (path.x[last] ?? 0), (path.y[i] ?? 0) - (path.y[last] ?? 0));
    const stood = slow[i] === true && slow[last] === true && way < SAME_PLACE * (heightPx[i] ?? 1);
    const allowed = stood ? Math.max(settings.gapS, STANDING_GAP_S) : settings.gapS;
    if (last >= 0 && missingS <= allowed) out.fill(true, last + 1, i);
    last = i;
  });
  return out;
}

/** One point's path: null where the data do not allow a value. */
export function trackPoint(input: PointInput): (TrackPoint | null)[] {
  let result = fit(input, networkLooks(input));
  if (input.set.score.some((score) => score > 0)) result = fit(input, correctedLooks(input, result));
  const { path, used } = result;
  const bridge = bridged(input, result);
  return input.timesS.map((_, i) => {
    const [x, y, vx, vy] = [path.x[i] ?? NaN, path.y[i] ?? NaN, path.vx[i] ?? NaN, path.vy[i] ?? NaN];
    if (!(used[i] || bridge[i]) || !Number.isFinite(x + y + vx + vy)) return null;
    const hand = has(input.set, i);
    return {
      x,
      y,
      vx,
      vy,
      sdPx: Math.sqrt(path.variance[i] ?? 0),
      score: hand ? 1 : used[i] ? (input.seen.score[i] ?? 0) : 0,
      source: hand ? 'hand' : used[i] ? 'network' : 'bridged',
    };
  });
}
