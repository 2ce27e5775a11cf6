/**
 * Intraclass correlation: which share of the variance lies between the subjects. All six forms and their 95 % intervals
 * after Shrout & Fleiss 1979, Psychol Bull 86:420. Numbers without unit; below 0 where the error is larger than the spread.
 */
import { f975 } from './distributions.ts';
import { meanSquares, type MeanSquares } from './meanSquares.ts';
import { isUntold, type Interval, type Untold } from './types.ts';

type Estimated = Interval | Untold<'noSpread'>;

/**
 * One-way: raters differ from subject to subject. Two-way random: the same raters, drawn from many; their differences
 * count as error (agreement). Two-way mixed: these raters alone; their differences don't count (consistency).
 * `single`: of one rating, forms (1,1), (2,1), (3,1). `mean`: of the mean of k ratings, forms (1,k), (2,k), (3,k).
 */
export interface Icc {
  readonly oneWay: { readonly single: Estimated; readonly mean: Estimated };
  readonly twoWayRandom: { readonly single: Estimated; readonly mean: Estimated };
  readonly twoWayMixed: { readonly single: Estimated; readonly mean: Estimated };
}

/** Of a table of subjects (rows) by raters or repeats (columns), two or more of each. */
export function icc(
  table: readonly (readonly number[])[],
): Icc | Untold<'tooFewRepeats' | 'unequalRows' | 'notFinite'> {
  const squares = meanSquares(table);
  return isUntold(squares) ? squares : iccOf(squares);
}

/** The same from the mean squares of an analysis of variance. */
export function iccOf(squares: MeanSquares): Icc {
  const { subjects: n, raters: k, withinSubjects, residual } = squares;
  return {
    oneWay: ratioForms(squares, withinSubjects, n * (k - 1)),
    twoWayRandom: agreementForms(squares),
    twoWayMixed: ratioForms(squares, residual, (n - 1) * (k - 1)),
  };
}

/** Forms 1 and 3: the same ratio of two mean squares, whose interval is that of their F. */
function ratioForms(
  { subjects, raters: k, betweenSubjects: b }: MeanSquares,
  error: number,
  df: number,
): Icc['oneWay'] {
  if (b <= 0) return { single: { reason: 'noSpread' }, mean: { reason: 'noSpread' } };
  const widest = error * f975(subjects - 1, df);
  const narrowest = error / f975(df, subjects - 1);
  const single = (e: number): number => (b - e) / (b + (k - 1) * e);
  const mean = (e: number): number => (b - e) / b;
  return {
    single: { value: single(error), low: single(widest), high: single(narrowest) },
    mean: { value: mean(error), low: mean(widest), high: mean(narrowest) },
  };
}

/** Form 2, whose F has degrees of freedom after Satterthwaite. */
function agreementForms(squares: MeanSquares): Icc['twoWayRandom'] {
  const { subjects: n, raters: k, betweenSubjects: b, betweenRaters: j, residual: e } = squares;
  if (b <= 0) return { single: { reason: 'noSpread' }, mean: { reason: 'noSpread' } };
  const value = (b - e) / (b + (k - 1) * e + (k * (j - e)) / n);
  const df = satterthwaite(squares, value);
  const above = f975(n - 1, df);
  const below = f975(df, n - 1);
  const rest = k * j + (k * n - k - n) * e;
  const single = {
    value,
    low: (n * (b - above * e)) / (above * rest + n * b),
    high: (n * (below * b - e)) / (rest + n * below * b),
  };
  return { single, mean: stepUp(single, k) };
}

/** Degrees of freedom of the error of form 2; no fewer than those of the raters, its smallest part. */
function satterthwaite(
  { subjects: n, raters: k, betweenRaters, residual }: MeanSquares,
  rho: number,
): number {
  if (residual === 0) return k - 1;
  const ratio = betweenRaters / residual;
  const rest = n * (1 + (k - 1) * rho) - k * rho;
  const above = (k - 1) * (n - 1) * (k * rho * ratio + rest) ** 2;
  const df = above / ((n - 1) * (k * rho * ratio) ** 2 + rest ** 2);
  return Math.max(k - 1, df);
}

/** Spearman-Brown: from one rating to the mean of k. */
function stepUp(single: Interval, k: number): Estimated {
  const of = (r: number): number => (k * r) / (1 + (k - 1) * r);
  // Below this no mean of k ratings has such a correlation.
  if (single.low <= -1 / (k - 1)) return { reason: 'noSpread' };
  return { value: of(single.value), low: of(single.low), high: of(single.high) };
}
