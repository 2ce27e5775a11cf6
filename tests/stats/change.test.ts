import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Measure } from '../../src/gait/types.ts';
import { changeVerdict, ENOUGH_DF, usualSd, type DayValue, type Known } from '../../src/stats/change.ts';
import type { WithinSubject } from '../../src/stats/repeatability.ts';
import { WITHIN_HORSE_CV } from '../oracles/walk.ts';

const day = (value: number, half = 0.02, more: Partial<DayValue> = {}): DayValue => ({
  measure: { value, low: value - half, high: value + half, n: 4, side: 'left' },
  ...{ unit: 'M', isOblique: false },
  ...more,
});
const repeats = (sd: number, degreesOfFreedom: number): WithinSubject => ({
  sd: { value: sd, low: 0.7 * sd, high: 1.7 * sd },
  degreesOfFreedom,
});
const own: Known = { ownRepeats: repeats(0.02, 1e9), usualSd: 0.03 };
const verdict = (a: DayValue, b: DayValue, known = own): string => {
  const found = changeVerdict(a, b, known);
  return found.verdict === 'cannotTell' ? found.reason : found.verdict;
};

describe('change between two days, from own repeats', () => {
  it('is one beyond 2.77 SEM (Weir 2005), to either side', () => {
    expect(verdict(day(1.7), day(1.7 + 2.78 * 0.02))).toBe('larger');
    expect(verdict(day(1.7), day(1.7 + 2.77 * 0.02))).toBe('within');
    expect(verdict(day(1.7), day(1.7 - 2.77 * 0.02))).toBe('within');
    expect(verdict(day(1.7), day(1.7 - 2.78 * 0.02))).toBe('smaller');
  });
  it('needs more where repeats are few, and less of means of several passes', () => {
    // Student's t of 6 degrees of freedom: 2.447 (printed tables).
    const few = { ...own, ownRepeats: repeats(0.02, 6) };
    const size = (passes: number): number => {
      const found = changeVerdict(day(1.7, 0.02, { passes }), day(1.8, 0.02, { passes }), few);
      return found.verdict === 'cannotTell' ? NaN : found.smallestDetectable;
    };
    expect(size(1)).toBeCloseTo(2.447 * Math.SQRT2 * 0.02, 5);
    expect(size(4)).toBeCloseTo(size(1) / 2, 12);
  });
  it('adds what a day shares, in quadrature', () => {
    const shared = changeVerdict(day(1.7, 0.02, { sharedSd: 0.03 }), day(1.7, 0.02, { sharedSd: 0.01 }), own);
    expect(shared).toMatchObject({ basis: 'ownRepeats' });
    if (shared.verdict !== 'cannotTell')
      expect(shared.smallestDetectable).toBeCloseTo(1.96 * Math.hypot(0.02, 0.02, 0.03, 0.01), 5);
  });
});

describe('change between two days, without enough repeats', () => {
  it('rests on both intervals and the usual variation, and says so', () => {
    for (const ownRepeats of [null, repeats(0.02, ENOUGH_DF - 1), repeats(0, 20)]) {
      const found = changeVerdict(day(1.7, 0.0196), day(1.7, 0.0392), { ownRepeats, usualSd: 0.03 });
      expect(found).toMatchObject({ verdict: 'within', basis: 'fallback' });
      if (found.verdict !== 'cannotTell')
        expect(found.smallestDetectable).toBeCloseTo(1.96 * Math.hypot(0.01, 0.02, 0.03, 0.03), 5);
    }
  });
  it('takes the wider side of a lopsided interval', () => {
    const lopsided = day(0.01);
    const measure: Measure = { value: 0.01, low: 0, high: 0.0492, n: 4, side: 'left' };
    const [even, odd] = [day(0.01, 0.0392), { ...lopsided, measure }].map((a) =>
      changeVerdict(a, day(0), { ownRepeats: null, usualSd: 0.03 }),
    );
    expect(odd).toEqual(even);
  });
  it('can not be told where no variation is known', () =>
    expect(verdict(day(1.7), day(2.9), { ownRepeats: null, usualSd: null })).toBe('repeatabilityUnknown'));
});

describe('what is not compared', () => {
  const few: Measure = { value: 9, low: 8, high: 10, n: 2, side: 'left' };
  it.each([
    [{ unit: 'H' }, 'otherUnit'],
    [{ isOblique: true }, 'oblique'],
    [{ measure: few }, 'tooFewStrides'],
    [{ measure: { reason: 'hoofHidden' } as const }, 'refused'],
  ] as const)('%j: %s, on either day', (more, reason) => {
    expect(verdict(day(1.7, 0.02, more), day(2.5))).toBe(reason);
    expect(verdict(day(1.7), day(2.5, 0.02, more))).toBe(reason);
  });
});

it('phases go round: from .98 to .02 of the stride is .04 more', () => {
  const found = changeVerdict(day(0.98), day(0.02), { ...own, isPhase: true });
  expect(found.verdict).toBe('within');
  if (found.verdict !== 'cannotTell') expect(found.change.value).toBeCloseTo(0.04, 12);
});

it('days exchanged: the same size, the other direction; 0 lies in the interval only where nothing is said', () => {
  const value = fc.double({ min: -2, max: 2, noNaN: true });
  fc.assert(
    fc.property(value, value, fc.double({ min: 0.001, max: 1, noNaN: true }), (a, b, sd) => {
      const known = { ownRepeats: repeats(sd, 12), usualSd: null };
      const [there, back] = [changeVerdict(day(a), day(b), known), changeVerdict(day(b), day(a), known)];
      if (there.verdict === 'cannotTell' || back.verdict === 'cannotTell') throw new Error('not told');
      const turned = { larger: 'smaller', smaller: 'larger', within: 'within' } as const;
      expect(back.verdict).toBe(turned[there.verdict]);
      expect(back.smallestDetectable).toBe(there.smallestDetectable);
      expect(there.change.low > 0 || there.change.high < 0).toBe(there.verdict !== 'within');
    }),
    { seed: 1, numRuns: 100 },
  );
});

describe('usual variation within a horse', () => {
  it('lies within that of Drevemo et al. 1980', () => {
    for (const name of ['strideLengthM', 'strideLengthH', 'speedMps', 'strideDurationS', 'cadencePerMin']) {
      const share = (usualSd(name, -2, null) ?? 0) / 2;
      expect(share).toBeGreaterThanOrEqual(WITHIN_HORSE_CV[0]);
      expect(share).toBeLessThanOrEqual(WITHIN_HORSE_CV[1]);
    }
  });
  it('of overtrack is that of the stride length, not of a number near 0', () => {
    expect(usualSd('overtrackM', 0, 1.8)).toBe(usualSd('strideLengthM', 1.8, null));
    expect(usualSd('overtrackM', 0.1, null)).toBeNull();
  });
  it('is not made up for other measures', () => {
    for (const name of ['headNodM', 'dutyFactorFore', 'lateralLagFraction', 'baseWidthForeM'])
      expect(usualSd(name, 1, 1.8)).toBeNull();
  });
});
