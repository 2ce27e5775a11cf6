/** Our constants against the published values that they are said to rest on. */
import { expect, it } from 'vitest';
import { JOG_FROUDE } from '../../src/gait/jog.ts';
import { LENGTH_CV, STRIDE_H } from '../../src/gait/lengths.ts';
import { DURATION_CV } from '../../src/gait/rhythm.ts';
import { RIDDEN_WALK, TRANSITION_FROUDE, WITHIN_HORSE_CV } from '../oracles/walk.ts';

it('a jog begins at the Froude number at which horses change to trot (Griffin et al. 2004)', () => {
  expect(JOG_FROUDE).toBe(TRANSITION_FROUDE);
});

it.each([LENGTH_CV, DURATION_CV])('usual variation %f lies within that of Drevemo et al. 1980', (cv) => {
  expect(cv).toBeGreaterThanOrEqual(WITHIN_HORSE_CV[0]);
  expect(cv).toBeLessThanOrEqual(WITHIN_HORSE_CV[1]);
});

it('stride lengths that are refused lie more than three SDs from those of the ridden walk', () => {
  const { mean, sd } = RIDDEN_WALK.strideLengthH;
  expect(STRIDE_H[0]).toBeLessThan(mean - 3 * sd);
  expect(STRIDE_H[1]).toBeGreaterThan(mean + 3 * sd);
});
