import { mean, sampleVariance } from 'simple-statistics';
import type { Side } from '../points.ts';
import type { ReasonCode } from './reasons.ts';
import { bootstrapMeanSd, quadrature, tQuantile975, type Estimate } from './statistics.ts';
import type { Measure, NotMeasured } from './types.ts';

/** A mean over strides with what its interval needs. */
export interface StrideMean {
  readonly value: number;
  /** Standard error from stride to stride and from timing and keypoints. */
  readonly sd: number;
  readonly degreesOfFreedom: number;
  readonly n: number;
  readonly side: Side | 'both';
}

/** How many strides' worth the usual variation weighs against the variation seen. */
export const PRIOR_DF = 6;
/** From this many strides on the bootstrap is trusted. */
const BOOTSTRAP_N = 8;

/**
 * Mean of single strides with errors of their own. With few strides the spread between them is hardly known: it is
 * blended with the usual variation within a horse (2 - 5 % of stride length: Drevemo et al. 1980, EVJ 12:60), which
 * alone stands for a single stride; with many, a bootstrap over the strides takes over.
 */
export function strideMean(
  strides: readonly Estimate[],
  usualSd: number,
  n: number,
  side: Side | 'both',
): StrideMean | null {
  if (strides.length === 0 || n < 1) return null;
  const weights = strides.map((s) => 1 / (usualSd ** 2 + s.sd ** 2));
  const sumW = weights.reduce((a, b) => a + b, 0);
  const value = strides.reduce((sum, s, i) => sum + s.value * (weights[i] ?? 0), 0) / sumW;
  const values = strides.map((s) => s.value);
  const own = mean(strides.map((s) => s.sd ** 2));
  const df = values.length - 1;
  const between = df > 0 ? Math.max(0, sampleVariance(values) - own) : 0;
  const variance = (PRIOR_DF * usualSd ** 2 + df * between) / (PRIOR_DF + df);
  const blended = Math.sqrt((variance + own) / n);
  const sd =
    Math.min(n, values.length) >= BOOTSTRAP_N
      ? Math.max(bootstrapMeanSd(values) * Math.sqrt(values.length / n), Math.sqrt(own / n))
      : blended;
  return { value, sd, degreesOfFreedom: PRIOR_DF + df, n, side };
}

export const notMeasured = (reason: ReasonCode): NotMeasured => ({ reason });
export const isMeasured = (m: Measure): m is Exclude<Measure, NotMeasured> => 'value' in m;

/** A measure with its 95 % interval: stride term by Student's t, systematic terms (SDs) in quadrature. */
export function toMeasure(
  m: StrideMean | null,
  systematicSds: readonly number[],
  otherwise: ReasonCode,
): Measure {
  if (m === null) return notMeasured(otherwise);
  const half = quadrature(tQuantile975(m.degreesOfFreedom) * m.sd, 1.96 * quadrature(...systematicSds));
  if (!Number.isFinite(m.value) || !Number.isFinite(half)) return notMeasured(otherwise);
  return { value: m.value, low: m.value - half, high: m.value + half, n: m.n, side: m.side };
}

/** A mean in another unit. */
export const scaled = (m: StrideMean | null, factor: number): StrideMean | null =>
  m && { ...m, value: m.value * factor, sd: m.sd * factor };

/** No length, duration, speed or range is below 0, nor may it be. */
export const notBelowZero = (m: Measure): Measure => ('reason' in m ? m : { ...m, low: Math.max(0, m.low) });
