/** Passes of many strides, as a camera sees that goes along with the horse: their intervals must hold too. */
import { expect, it } from 'vitest';
import { strideMean } from '../../src/gait/interval.ts';
import { analysed, average, seeds, value } from './support.ts';

it('one value for many strides is not bootstrapped', () => {
  const sdOf = (n: number) => strideMean([{ value: 1, sd: 0 }], 0.035, n, 'both')?.sd;
  expect(sdOf(9)).toBeCloseTo(0.035 / 3, 6);
});

it('speed over 9 strides: at least 90 per cent of 60 intervals hold the truth', () => {
  const held = seeds(60).map((seed) => {
    const { walk, pass } = analysed({ seed, noise: 1, fps: 30, strides: 9, strideCv: 0.035, distanceM: 15 });
    const speed = value(pass.measures.speedMps);
    return speed.low <= walk.speedMps && walk.speedMps <= speed.high ? 1 : 0;
  });
  console.log(`speed over 9 strides held in ${(100 * average(held)).toFixed(0)} %`);
  expect(average(held)).toBeGreaterThanOrEqual(0.9);
});
