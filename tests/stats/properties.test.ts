/** What must not change the answer, and what must change it in step. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { agreement, type Pair } from '../../src/stats/agreement.ts';
import { icc, type Icc } from '../../src/stats/icc.ts';
import { meanSquares } from '../../src/stats/meanSquares.ts';
import { smallestDetectableChange, withinSubjectSd } from '../../src/stats/repeatability.ts';
import { isUntold, type Interval } from '../../src/stats/types.ts';
import { told } from './support.ts';

const SETTINGS = { seed: 1, numRuns: 60 } as const;
const number = fc.integer({ min: -1000, max: 1000 }).map((x) => x / 8);
const shift = fc.integer({ min: -800, max: 800 }).map((x) => x / 8);
const scale = fc.integer({ min: 1, max: 400 }).map((x) => x / 8);
const table = fc
  .tuple(fc.integer({ min: 2, max: 8 }), fc.integer({ min: 2, max: 5 }))
  .chain(([n, k]) =>
    fc.array(fc.array(number, { minLength: k, maxLength: k }), { minLength: n, maxLength: n }),
  );
const subjects = fc.array(
  fc.array(fc.record<Pair>({ a: number, b: number }), { minLength: 1, maxLength: 4 }),
  { minLength: 2, maxLength: 9 },
);

const estimates = (all: Icc): (Interval | null)[] =>
  [all.oneWay, all.twoWayRandom, all.twoWayMixed].flatMap(({ single, mean }) =>
    [single, mean].map((one) => (isUntold(one) ? null : one)),
  );

function expectAlike(a: Interval | null, b: Interval | null): void {
  expect(b === null).toBe(a === null);
  if (a === null || b === null) return;
  for (const key of ['value', 'low', 'high'] as const)
    expect(Math.abs(a[key] - b[key])).toBeLessThanOrEqual(1e-6 * Math.max(1, Math.abs(a[key])));
}

describe('ICC', () => {
  it('stays where all values are shifted or scaled, or subjects or raters change places', () => {
    fc.assert(
      fc.property(table, shift, scale, (rows, by, times) => {
        const plain = estimates(told(icc(rows)) as Icc);
        for (const other of [
          rows.map((row) => row.map((x) => times * x + by)),
          rows.map((row) => row.map((x) => -x)),
          [...rows].reverse(),
          rows.map((row) => [...row].reverse()),
        ])
          estimates(told(icc(other)) as Icc).forEach((one, i) => expectAlike(plain[i] ?? null, one));
      }),
      SETTINGS,
    );
  });
  it('lies in its interval, which ends at 1, and nothing is no number', () => {
    fc.assert(
      fc.property(table, (rows) => {
        for (const one of estimates(told(icc(rows)) as Icc)) {
          if (one === null) continue;
          expect(one.low).toBeLessThanOrEqual(one.value + 1e-9);
          expect(one.high).toBeGreaterThanOrEqual(one.value - 1e-9);
          expect(one.high).toBeLessThanOrEqual(1 + 1e-9);
          expect(Number.isFinite(one.low)).toBe(true);
        }
      }),
      SETTINGS,
    );
  });
  it('is 1 where raters agree on subjects that differ, of consistency where they differ by a constant', () => {
    const rows = [1, 4, 2, 8].map((x) => [x, x, x]);
    for (const one of estimates(told(icc(rows)) as Icc)) expect(one).toEqual({ value: 1, low: 1, high: 1 });
    const moved = told(icc([1, 4, 2, 8].map((x) => [x, x + 3])) as Icc);
    expect(told(moved.twoWayMixed.single).value).toBe(1);
    expect(told(moved.twoWayRandom.single).value).toBeLessThan(0.9);
  });
  it('is refused where there is none', () => {
    expect(icc([[1, 2]])).toEqual({ reason: 'tooFewRepeats' });
    expect(icc([[1], [2]])).toEqual({ reason: 'tooFewRepeats' });
    expect(icc([[1, 2], [3]])).toEqual({ reason: 'unequalRows' });
    expect(
      icc([
        [1, 2],
        [3, NaN],
      ]),
    ).toEqual({ reason: 'notFinite' });
    // Thirds have no exact sum: rounding is no spread.
    const flat = told(
      icc([
        [1 / 3, 1 / 3, 1 / 3],
        [1 / 3, 1 / 3, 1 / 3],
      ]) as Icc,
    );
    for (const one of estimates(flat)) expect(one).toBeNull();
  });
});

describe('limits of agreement', () => {
  const fields = ['bias', 'lower', 'upper'] as const;
  it('are those of the other way round with the sign changed', () => {
    fc.assert(
      fc.property(subjects, (all) => {
        const one = told(agreement(all));
        const other = told(agreement(all.map((own) => own.map(({ a, b }) => ({ a: b, b: a })))));
        expect(other.bias.value).toBeCloseTo(-one.bias.value, 9);
        expect(other.bias.low).toBeCloseTo(-one.bias.high, 9);
        expect(other.sd).toBeCloseTo(one.sd, 9);
        expect(other.lower.low).toBeCloseTo(-one.upper.high, 9);
        expect(other.lower.high).toBeCloseTo(-one.upper.low, 9);
      }),
      SETTINGS,
    );
  });
  it('move with one way and grow with the unit', () => {
    fc.assert(
      fc.property(subjects, shift, scale, (all, by, times) => {
        const plain = told(agreement(all));
        const moved = told(
          agreement(all.map((own) => own.map(({ a, b }) => ({ a: times * a + by, b: times * b })))),
        );
        for (const field of fields)
          for (const key of ['value', 'low', 'high'] as const)
            expect(moved[field][key]).toBeCloseTo(times * plain[field][key] + by, 6);
      }),
      SETTINGS,
    );
  });
  it('are refused where there are none', () => {
    expect(agreement([[{ a: 1, b: 2 }]])).toEqual({ reason: 'tooFewRepeats' });
    expect(agreement([[{ a: 1, b: 2 }], [{ a: 1, b: NaN }]])).toEqual({ reason: 'notFinite' });
  });
});

describe('repeatability', () => {
  it('has a smallest detectable change that scales with the SEM and falls with the degrees of freedom', () => {
    fc.assert(
      fc.property(scale, scale, fc.integer({ min: 1, max: 200 }), (sem, times, df) => {
        const plain = smallestDetectableChange(sem, df);
        expect(smallestDetectableChange(times * sem, df) / plain).toBeCloseTo(times, 9);
        expect(smallestDetectableChange(sem, df + 1)).toBeLessThan(plain);
        expect(plain).toBeGreaterThan(smallestDetectableChange(sem));
      }),
      SETTINGS,
    );
  });
  it('is the within mean square of the analysis of variance where all have as many repeats', () => {
    fc.assert(
      fc.property(table, (rows) => {
        const { sd } = told(withinSubjectSd(rows));
        const { withinSubjects } = told(meanSquares(rows));
        expect(sd.value ** 2).toBeCloseTo(withinSubjects, 6);
      }),
      SETTINGS,
    );
  });
  it('does not see what differs from day to day, nor days with one pass', () => {
    const days = [[1, 3], [2, 4, 3], [7]];
    const moved = [[1, 3], [102, 104, 103], [-50]];
    expect(withinSubjectSd(moved)).toEqual(withinSubjectSd(days));
    // Exact: squares 2 and 2 on 1 + 2 degrees of freedom.
    expect(told(withinSubjectSd(days)).sd.value).toBeCloseTo(Math.sqrt(4 / 3), 12);
    expect(told(withinSubjectSd(days)).degreesOfFreedom).toBe(3);
  });
  it('is refused without repeats', () => {
    expect(withinSubjectSd([[1], [2], []])).toEqual({ reason: 'tooFewRepeats' });
    expect(withinSubjectSd([[1, Infinity]])).toEqual({ reason: 'notFinite' });
  });
});
