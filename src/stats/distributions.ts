/** Quantiles of the distributions used here, from jstat (about 1e-7 relative). Degrees of freedom need not be whole. */
// @ts-expect-error jstat comes without types: those of what is used stand below.
import untyped from 'jstat';

interface Quantiles {
  readonly studentt: { inv(p: number, degreesOfFreedom: number): number };
  readonly centralF: { inv(p: number, numerator: number, denominator: number): number };
  readonly chisquare: { inv(p: number, degreesOfFreedom: number): number };
}
const jstat = untyped as Quantiles;

/** 97.5 % point of the normal distribution. */
export const Z_975 = 1.959963984540054;
/** From here on Student's t is taken for normal: they differ by less than 3e-8, and a pool of any size is allowed. */
const NORMAL_FROM = 1e8;

/** @throws RangeError unless 0 < p < 1 and the degrees of freedom are above 0. */
function check(p: number, ...degreesOfFreedom: readonly number[]): void {
  if (!(p > 0 && p < 1)) throw new RangeError(`probability ${p}: expected one between 0 and 1`);
  const wrong = degreesOfFreedom.find((df) => !(df > 0));
  if (wrong !== undefined) throw new RangeError(`degrees of freedom ${wrong}: expected more than 0`);
}

/**
 * 97.5 % point of Student's t.
 * @throws RangeError unless the degrees of freedom are above 0.
 */
export function t975(degreesOfFreedom: number): number {
  check(0.975, degreesOfFreedom);
  return degreesOfFreedom > NORMAL_FROM ? Z_975 : jstat.studentt.inv(0.975, degreesOfFreedom);
}

/**
 * 97.5 % point of the F distribution.
 * @throws RangeError unless both degrees of freedom are above 0.
 */
export function f975(numerator: number, denominator: number): number {
  check(0.975, numerator, denominator);
  return jstat.centralF.inv(0.975, numerator, denominator);
}

/**
 * Point of the chi-squared distribution below which lies the share p.
 * @throws RangeError unless 0 < p < 1 and the degrees of freedom are above 0.
 */
export function chiSquared(p: number, degreesOfFreedom: number): number {
  check(p, degreesOfFreedom);
  return jstat.chisquare.inv(p, degreesOfFreedom);
}
