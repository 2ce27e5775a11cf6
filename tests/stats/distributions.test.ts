/** Quantiles against printed tables and against cephes, which computes them another way. */
// @ts-expect-error its types are not among its exports
import * as cephes from 'cephes';
import { beforeAll, describe, expect, it } from 'vitest';
import { chiSquared, f975, t975 } from '../../src/stats/distributions.ts';
import { CHI_SQUARED, F_975, T_975 } from './oracles.ts';

const DF = [1, 1.3, 2, 3, 5, 7.7, 15, 18, 60, 200, 5000];
/** Relative; what jstat is good to. */
const CLOSE = 2e-7;
const relative = (ours: number, theirs: number): number => Math.abs(ours / theirs - 1);

/** F from the inverse of the incomplete beta function. */
function cephesF(p: number, a: number, b: number): number {
  const x = cephes.incbi(a / 2, b / 2, p);
  return (b * x) / (a * (1 - x));
}

beforeAll(() => cephes.compiled);

describe('quantiles', () => {
  it('are those of printed tables', () => {
    for (const [df, t] of T_975) expect(t975(df)).toBeCloseTo(t, 3);
    for (const [a, b, f] of F_975) expect(f975(a, b)).toBeCloseTo(f, 2);
    for (const [df, low, high] of CHI_SQUARED) {
      expect(chiSquared(0.025, df)).toBeCloseTo(low, 2);
      expect(chiSquared(0.975, df)).toBeCloseTo(high, 2);
    }
  });
  it.each(DF)('of t and chi-squared are those of cephes, %f degrees of freedom', (df) => {
    expect(relative(t975(df), Math.sqrt(cephesF(0.95, 1, df)))).toBeLessThan(CLOSE);
    for (const p of [0.025, 0.975])
      expect(relative(chiSquared(p, df), 2 * cephes.igami(df / 2, 1 - p))).toBeLessThan(CLOSE);
  });
  it.each(DF.flatMap((a) => DF.map((b) => [a, b] as const)))(
    'of F are those of cephes, %f and %f',
    (a, b) => {
      expect(relative(f975(a, b), cephesF(0.975, a, b))).toBeLessThan(CLOSE);
    },
  );
  it('refuse what is no probability and no degrees of freedom', () => {
    expect(() => t975(0)).toThrow(RangeError);
    expect(() => f975(3, NaN)).toThrow(RangeError);
    expect(() => chiSquared(1, 3)).toThrow(RangeError);
  });
});
