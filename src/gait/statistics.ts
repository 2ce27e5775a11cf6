import { mean, medianAbsoluteDeviation, median, sampleVariance } from 'simple-statistics';
import { seededRandom } from './random.ts';

export interface Estimate {
  readonly value: number;
  /** Standard error. */
  readonly sd: number;
}

/** MAD x 1.4826: the standard deviation of a normal sample, deaf to outliers. */
export const robustSd = (values: readonly number[]): number =>
  values.length < 2 ? 0 : 1.4826 * medianAbsoluteDeviation([...values]);

export const medianOf = (values: readonly number[]): number | null =>
  values.length === 0 ? null : median([...values]);

/** Root of the sum of squares: independent error terms combined. */
export const quadrature = (...terms: readonly number[]): number =>
  Math.sqrt(terms.reduce((s, t) => s + t * t, 0));

/** Student's t, 97.5 % point, 1 - 5 degrees of freedom: printed tables. */
const T_FEW = [12.706, 4.303, 3.182, 2.776, 2.571] as const;

/** 97.5 % point of Student's t; above 5 degrees of freedom by the expansion of Abramowitz & Stegun, 26.7.5. */
export function tQuantile975(degreesOfFreedom: number): number {
  const n = Math.max(1, degreesOfFreedom);
  const few = T_FEW[Math.floor(n) - 1];
  if (few !== undefined) return few;
  const z = 1.959963984540054;
  const g1 = (z ** 3 + z) / 4;
  const g2 = (5 * z ** 5 + 16 * z ** 3 + 3 * z) / 96;
  const g3 = (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / 384;
  const g4 = (79 * z ** 9 + 776 * z ** 7 + 1482 * z ** 5 - 1920 * z ** 3 - 945 * z) / 92160;
  return z + g1 / n + g2 / n ** 2 + g3 / n ** 3 + g4 / n ** 4;
}

/** Standard error of the mean by bootstrap over the strides; seeded, so deterministic. */
export function bootstrapMeanSd(values: readonly number[], rounds = 2000): number {
  if (values.length < 2) return 0;
  const random = seededRandom(values.length * 7919);
  const means = Array.from({ length: rounds }, () =>
    mean(values.map(() => values[Math.floor(random() * values.length)] ?? 0)),
  );
  return Math.sqrt(sampleVariance(means));
}
