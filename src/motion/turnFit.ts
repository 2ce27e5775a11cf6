import { Matrix, solve } from 'ml-matrix';
import type { Point } from '../track/similarity.ts';
import { matrixOf, throughLens } from '../track/turning.ts';
import type { Lens, Similarity } from '../track/types.ts';

/** Places of one feature in the frame and in the reference, px, and its weight. */
export interface Seen {
  readonly from: Point;
  readonly to: Point;
  readonly weight: number;
}

/** What is believed of 1 / f^2 before, px^-2. */
export interface Prior {
  readonly value: number;
  readonly sd: number;
}

export interface TurnFit {
  readonly turn: Similarity;
  readonly lens: Lens;
  /** Ground nearer than the hooves' row goes faster: px along x per px below it. */
  readonly slide: number;
  readonly row: number;
  /** 1 / f^2 as these features alone tell it; infinite SD where they tell nothing. */
  readonly told: Prior;
}

/**
 * Of ground that the camera moves along, what lies nearer goes faster: px along x per px below the hooves' row. What
 * a camera that turns round a body may slide is small (our assumption); features with more to say outweigh it.
 */
const SLIDE_SD = 0.003;
const ROUNDS = 4;

type Numbers = [a: number, b: number, tx: number, ty: number, slide: number, kappa: number];

export interface FitTask {
  readonly seen: readonly Seen[];
  readonly start: Similarity;
  readonly lens: Lens;
  /** Row of the hooves, at whose depth the motion is wanted; null where it isn't known. */
  readonly row: number | null;
  /** Null: the lens is given, roll, zoom and slide are those of the start, and yaw and pitch are to be found. */
  readonly prior: Prior | null;
  readonly slide?: number;
  /** SD of a feature's place, px: what the priors weigh against. */
  readonly noisePx: number;
}

function residuals(task: FitTask, n: Numbers, out: Float64Array): void {
  const [a, b, tx, ty, slide, kappa] = n;
  const lens = { ...task.lens, kappa };
  const m = matrixOf(lens, { a, b, tx, ty });
  task.seen.forEach(({ from, to }, i) => {
    const p = throughLens(lens, m, from);
    out[2 * i] = p.x + slide * (from.y - (task.row ?? 0)) - to.x;
    out[2 * i + 1] = p.y - to.y;
  });
}

/** Weighted least squares by Gauss and Newton; null where the features don't hold it. */
export function fitTurn(task: FitTask): TurnFit | null {
  const { seen, start, lens, row, prior, noisePx } = task;
  const size = Math.max(1, 2 * lens.centre.x, 2 * lens.centre.y);
  // Steps of derivatives: each moves the picture's edge by about .01 px.
  const nudge = [1e-4 / size, 1e-4 / size, 1e-3, 1e-3, 1e-4 / size, 1e-3 * size ** -2].map((h) => 10 * h);
  const free = prior ? [0, 1, 2, 3, ...(row === null ? [] : [4]), 5] : [0, 1, 2, 3];
  let n: Numbers = [start.a, start.b, start.tx, start.ty, task.slide ?? 0, prior ? prior.value : lens.kappa];
  const priorOf = (k: number): Prior | null =>
    k === 4 ? { value: 0, sd: SLIDE_SD } : k === 5 && prior ? prior : null;
  const base = new Float64Array(2 * seen.length);
  const changed = free.map(() => new Float64Array(2 * seen.length));
  let told: Prior = { value: n[5], sd: Infinity };
  for (let round = 0; round < ROUNDS; round++) {
    residuals(task, n, base);
    free.forEach((k, j) => {
      const by: Numbers = [...n];
      by[k] = (n[k] ?? 0) + (nudge[k] ?? 0);
      residuals(task, by, changed[j] ?? base);
    });
    const normal = Matrix.zeros(free.length, free.length);
    const right = Matrix.zeros(free.length, 1);
    for (let i = 0; i < base.length; i++) {
      const w = (seen[i >> 1]?.weight ?? 0) / noisePx ** 2;
      if (!(w > 0) || !Number.isFinite(base[i] ?? NaN)) continue;
      const d = free.map((k, j) => ((changed[j]?.[i] ?? 0) - (base[i] ?? 0)) / (nudge[k] ?? 1));
      for (let j = 0; j < d.length; j++) {
        right.set(j, 0, right.get(j, 0) - w * (d[j] ?? 0) * (base[i] ?? 0));
        for (let l = 0; l <= j; l++) normal.set(j, l, normal.get(j, l) + w * (d[j] ?? 0) * (d[l] ?? 0));
      }
    }
    for (let j = 0; j < free.length; j++)
      for (let l = j + 1; l < free.length; l++) normal.set(j, l, normal.get(l, j));
    const step = stepOf(normal, right, free, n, priorOf);
    if (!step) return null;
    if (prior) told = alone(normal, right, n[5]);
    n = step;
  }
  const [a, b, tx, ty, slide, kappa] = n;
  return Number.isFinite(a + b + tx + ty + kappa)
    ? { turn: { a, b, tx, ty }, lens: { ...lens, kappa }, slide, row: row ?? 0, told }
    : null;
}

function stepOf(
  normal: Matrix,
  right: Matrix,
  free: readonly number[],
  n: Numbers,
  priorOf: (k: number) => Prior | null,
): Numbers | null {
  const [left, side] = [normal.clone(), right.clone()];
  free.forEach((k, j) => {
    const known = priorOf(k);
    if (!known) return;
    left.set(j, j, left.get(j, j) + known.sd ** -2);
    side.set(j, 0, side.get(j, 0) + (known.value - (n[k] ?? 0)) / known.sd ** 2);
  });
  // Numbers of very different size: each is scaled to one on the diagonal.
  const scale = free.map((_, j) => 1 / Math.sqrt(left.get(j, j)));
  if (!scale.every(Number.isFinite)) return null;
  for (let j = 0; j < free.length; j++) {
    side.set(j, 0, side.get(j, 0) * (scale[j] ?? 1));
    for (let l = 0; l < free.length; l++) left.set(j, l, left.get(j, l) * (scale[j] ?? 1) * (scale[l] ?? 1));
  }
  let d: Matrix;
  try {
    d = solve(left, side);
  } catch {
    return null;
  }
  const next: Numbers = [...n];
  free.forEach((k, j) => (next[k] = (n[k] ?? 0) + d.get(j, 0) * (scale[j] ?? 1)));
  return next;
}

/** The last number (1 / f^2) by the features alone, all others being free: Schur's complement. */
function alone(normal: Matrix, right: Matrix, at: number): Prior {
  const last = normal.rows - 1;
  const none: Prior = { value: at, sd: Infinity };
  const scale = Array.from({ length: last }, (_, j) => 1 / Math.sqrt(normal.get(j, j)));
  if (!scale.every(Number.isFinite)) return none;
  const inner = Matrix.zeros(last, last);
  const sides = Matrix.zeros(last, 2);
  for (let j = 0; j < last; j++) {
    for (let l = 0; l < last; l++) inner.set(j, l, normal.get(j, l) * (scale[j] ?? 1) * (scale[l] ?? 1));
    sides.set(j, 0, normal.get(j, last) * (scale[j] ?? 1));
    sides.set(j, 1, right.get(j, 0) * (scale[j] ?? 1));
  }
  try {
    const x = solve(inner, sides);
    let [information, gradient] = [normal.get(last, last), right.get(last, 0)];
    for (let j = 0; j < last; j++) {
      information -= sides.get(j, 0) * x.get(j, 0);
      gradient -= sides.get(j, 0) * x.get(j, 1);
    }
    return information > 0 ? { value: at + gradient / information, sd: information ** -0.5 } : none;
  } catch {
    return none;
  }
}
