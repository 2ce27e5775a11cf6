/** What a measure may be stays within what it can be. */
import { expect, it } from 'vitest';
import { isMeasured } from '../../src/gait/interval.ts';
import { analysed, seeds, value } from './support.ts';

const NEVER_BELOW_ZERO = [
  'strideLengthM',
  'strideDurationS',
  'cadencePerMin',
  'speedMps',
  'headNodM',
  'froude',
  'dutyFactorFore',
  'dutyFactorHind',
] as const;

it('the nod of a head that hardly moves may be none, but not less', () => {
  const nods = seeds(6).map((seed) =>
    value(analysed({ seed, noise: 1, nodM: 0.004 }).pass.measures.headNodM),
  );
  expect(nods.some((nod) => nod.low === 0)).toBe(true);
  for (const nod of nods) {
    expect(nod.low).toBeGreaterThanOrEqual(0);
    expect(nod.value).toBeLessThanOrEqual(nod.high);
  }
});

it('no length, duration, speed or share has a bound below zero, however noisy the points', () => {
  for (const seed of seeds(8)) {
    const { measures, inWithersHeights } = analysed({ seed, noise: 4, strides: 2, dropOut: 0.2 }).pass;
    const all = [...NEVER_BELOW_ZERO.map((name) => measures[name]), inWithersHeights.strideLengthH];
    expect(all.some(isMeasured)).toBe(true);
    for (const m of all.filter(isMeasured)) expect(m.low).toBeGreaterThanOrEqual(0);
  }
});

it('phases count from the left hind, which is 0 without error', () => {
  for (const direction of ['left', 'right'] as const) {
    const { LH } = analysed({ noise: 1, direction }).pass.measures.limbPhaseFraction;
    expect(value(LH)).toMatchObject({ value: 0, low: 0, high: 0 });
  }
});
