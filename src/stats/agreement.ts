import { harmonicMean, mean, sampleVariance, sum } from 'simple-statistics';
import { chiSquared, t975, Z_975 } from './distributions.ts';
import type { Interval, Untold } from './types.ts';

/** One subject measured both ways, unit of the data. */
export interface Pair {
  readonly a: number;
  readonly b: number;
}

/** All in the unit of the data. */
export interface Agreement {
  readonly subjects: number;
  readonly pairs: number;
  /** Mean of a - b. */
  readonly bias: Interval;
  /** Of single differences. */
  readonly sd: number;
  /** Limits of agreement: between them lie 95 % of the differences. */
  readonly lower: Interval;
  readonly upper: Interval;
}

/** A mean square with its degrees of freedom, and the weight that it has in the variance of a difference. */
interface Part {
  readonly square: number;
  readonly weight: number;
  readonly df: number;
}

/**
 * Bias and limits of agreement of two ways to measure (Bland & Altman 1986, Lancet i:307). One list for each subject,
 * with one pair or more, taken one after the other while the subject may change: subjects count alike, and their own
 * repeats add the variance within (Bland & Altman 2007, J Biopharm Stat 17:571). Intervals of the limits after
 * Zou 2013, Stat Methods Med Res 22:630, from memory.
 */
export function agreement(
  subjects: readonly (readonly Pair[])[],
): Agreement | Untold<'tooFewRepeats' | 'notFinite'> {
  const differences = subjects.filter((own) => own.length > 0).map((own) => own.map(({ a, b }) => a - b));
  const n = differences.length;
  if (n < 2) return { reason: 'tooFewRepeats' };
  if (!differences.flat().every(Number.isFinite)) return { reason: 'notFinite' };
  const means = differences.map((own) => mean(own));
  const bias = mean(means);
  const between: Part = { square: sampleVariance(means), weight: 1, df: n - 1 };
  const parts = [between, ...withinPart(differences, means)];
  const error = t975(n - 1) * Math.sqrt(between.square / n);
  const spread = spreadOf(parts);
  const inner = Math.hypot(error, Z_975 * (spread.value - spread.low));
  const outer = Math.hypot(error, Z_975 * (spread.high - spread.value));
  const [lower, upper] = [bias - Z_975 * spread.value, bias + Z_975 * spread.value];
  return {
    subjects: n,
    pairs: differences.flat().length,
    bias: { value: bias, low: bias - error, high: bias + error },
    sd: spread.value,
    lower: { value: lower, low: lower - outer, high: lower + inner },
    upper: { value: upper, low: upper - inner, high: upper + outer },
  };
}

/** The variance within subjects; none where each has one pair. */
function withinPart(differences: readonly (readonly number[])[], means: readonly number[]): Part[] {
  const df = sum(differences.map((own) => own.length - 1));
  if (df === 0) return [];
  const squares = sum(differences.flatMap((own, i) => own.map((d) => (d - (means[i] ?? 0)) ** 2)));
  return [{ square: squares / df, weight: 1 - 1 / harmonicMean(differences.map((own) => own.length)), df }];
}

/** Root of the weighted sum of mean squares, with its 95 % interval. */
function spreadOf(parts: readonly Part[]): Interval {
  const total = sum(parts.map(({ square, weight }) => weight * square));
  const off = (p: number): number =>
    Math.hypot(...parts.map(({ square, weight, df }) => weight * square * (1 - df / chiSquared(p, df))));
  return {
    value: Math.sqrt(total),
    low: Math.sqrt(Math.max(0, total - off(0.975))),
    high: Math.sqrt(total + off(0.025)),
  };
}
