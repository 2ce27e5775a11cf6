/** Published results, and a second way to the same numbers. */
// @ts-expect-error it comes without types
import jstat from 'jstat';
import { Matrix, SVD } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { agreement } from '../../src/stats/agreement.ts';
import { expectedAdultHeightM, GROWTH_SHARES, shareOfAdultHeight } from '../../src/stats/growth.ts';
import { icc, iccOf, type Icc } from '../../src/stats/icc.ts';
import { meanSquares } from '../../src/stats/meanSquares.ts';
import {
  smallestDetectableChange,
  standardErrorOfMeasurement,
  withinSubjectSd,
} from '../../src/stats/repeatability.ts';
import { CHILDREN, GROWTH, PEAK_FLOW, SHROUT_FLEISS, WEIR } from './oracles.ts';
import { told } from './support.ts';

const FORMS = ['oneWay', 'twoWayRandom', 'twoWayMixed'] as const;

describe('ICC of the table of Shrout & Fleiss 1979', () => {
  const ours = told(icc(SHROUT_FLEISS.table)) as Icc;
  it.each(FORMS.flatMap((form) => (['single', 'mean'] as const).map((of) => [form, of] as const)))(
    '%s, %s',
    (form, of) => {
      const estimate = told(ours[form][of]);
      expect(Math.abs(estimate.value - SHROUT_FLEISS[of][form])).toBeLessThanOrEqual(0.001);
      const [low, high] = SHROUT_FLEISS.intervals[form][of];
      // Printed with two decimals.
      expect(Math.abs(estimate.low - low)).toBeLessThanOrEqual(0.0051);
      expect(Math.abs(estimate.high - high)).toBeLessThanOrEqual(0.0051);
    },
  );
});

describe('mean squares', () => {
  const squares = told(meanSquares(SHROUT_FLEISS.table));
  it('have the one-way F of jstat', () => {
    const f = (jstat as { anovafscore(rows: readonly unknown[]): number }).anovafscore(SHROUT_FLEISS.table);
    expect(squares.betweenSubjects / squares.withinSubjects).toBeCloseTo(f, 9);
  });
  it('leave the residual of least squares with a column for each subject and rater', () => {
    const rows = SHROUT_FLEISS.table.flatMap((row, i) => row.map((y, j) => ({ i, j, y })));
    const design = new Matrix(
      rows.map(({ i, j }) => [
        ...[0, 1, 2, 3, 4, 5].map((s) => +(s === i)),
        ...[1, 2, 3].map((r) => +(r === j)),
      ]),
    );
    const y = Matrix.columnVector(rows.map((row) => row.y));
    const fitted = design.mmul(new SVD(design, { autoTranspose: true }).solve(y));
    expect(squares.residual * 15).toBeCloseTo(Matrix.sub(y, fitted).norm('frobenius') ** 2, 9);
  });
  it('add up to the total: rows, columns, rest', () => {
    const { betweenSubjects, betweenRaters, residual, withinSubjects } = squares;
    expect(withinSubjects * 18).toBeCloseTo(betweenRaters * 3 + residual * 15, 9);
    const all = SHROUT_FLEISS.table.flat();
    const middle = all.reduce((a, b) => a + b, 0) / all.length;
    expect(betweenSubjects * 5 + withinSubjects * 18).toBeCloseTo(
      all.reduce((s, x) => s + (x - middle) ** 2, 0),
      9,
    );
  });
});

it('smallest detectable change: ICC .846 of mean squares 19.67 and 1.64 goes with 3.55 (Weir 2005)', () => {
  const { betweenSubjects, residual } = WEIR;
  const squares = {
    ...{ subjects: 10, raters: 2, betweenSubjects, residual },
    ...{ betweenRaters: residual, withinSubjects: residual },
  };
  expect(Math.abs(told(iccOf(squares).twoWayMixed.single).value - WEIR.icc)).toBeLessThan(0.001);
  expect(Math.abs(smallestDetectableChange(standardErrorOfMeasurement(squares)) - WEIR.change)).toBeLessThan(
    0.001,
  );
  expect(smallestDetectableChange(1)).toBeCloseTo(WEIR.factor, 2);
});

describe('agreement of the peak flow meters of Bland & Altman 1986', () => {
  const { large, small } = PEAK_FLOW;
  const pairs = large.map((a, i) => [{ a, b: small[i] ?? NaN }]);
  const ours = told(agreement(pairs));
  it('has their bias and SD', () => {
    expect(Math.abs(ours.bias.value - PEAK_FLOW.bias)).toBeLessThan(0.001);
    expect(Math.abs(ours.sd - PEAK_FLOW.sd)).toBeLessThan(0.001);
    expect(ours.subjects).toBe(17);
  });
  it('has their interval of the bias', () => {
    expect(ours.bias.low).toBeCloseTo(PEAK_FLOW.biasInterval[0], 1);
    // 17.814, printed 17.8.
    expect(ours.bias.high).toBeCloseTo(PEAK_FLOW.biasInterval[1], 1);
  });
  it('has limits 1.96 SD from the bias', () => {
    expect(ours.upper.value - ours.bias.value).toBeCloseTo(1.96 * PEAK_FLOW.sd, 2);
    expect(ours.bias.value - ours.lower.value).toBeCloseTo(1.96 * PEAK_FLOW.sd, 2);
  });
});

it('within-subject SD of the children of Bland & Altman 1996', () => {
  const ours = told(withinSubjectSd(CHILDREN.repeats));
  expect(ours.degreesOfFreedom).toBe(CHILDREN.degreesOfFreedom);
  expect(ours.sd.value ** 2 * ours.degreesOfFreedom).toBeCloseTo(CHILDREN.withinSumOfSquares, 6);
  expect(Math.abs(ours.sd.value - CHILDREN.withinSd)).toBeLessThan(0.05);
  const squares = told(meanSquares(CHILDREN.repeats));
  expect(squares.betweenSubjects * 19).toBeCloseTo(CHILDREN.betweenSumOfSquares, 2);
});

describe('growth (eXtension Horses)', () => {
  it('has the published shares and their error', () => {
    expect(GROWTH_SHARES.map(({ months, share }) => [months, share])).toEqual(GROWTH.shares);
    for (const [months, share] of GROWTH.shares) {
      const ours = told(shareOfAdultHeight(months));
      expect(ours.value).toBe(share);
      expect(ours.high - ours.low).toBeCloseTo(2 * GROWTH.error, 9);
    }
  });
  it('takes 131 cm at 6 months to 159.8 cm, from 154.1 to 165.8', () => {
    const { ageMonths, heightM, adultM } = GROWTH.colt;
    const ours = told(expectedAdultHeightM(heightM, 0, ageMonths));
    expect(Math.abs(ours.value - adultM)).toBeLessThan(0.0005);
    // Exact: 131 / .85 and 131 / .79.
    expect(ours.low).toBeCloseTo(1.541, 3);
    expect(ours.high).toBeCloseTo(1.658, 3);
  });
  it('goes straight between the ages, and not beyond them', () => {
    expect(told(shareOfAdultHeight(9)).value).toBeCloseTo(0.855, 9);
    for (const months of [0, 2.99, 24.01, -6, NaN])
      expect(shareOfAdultHeight(months)).toEqual({ reason: 'outsideGrowthTable' });
  });
  it('widens with the error of the measured height', () => {
    const [exact, stick] = [0, 0.02].map((sd) => told(expectedAdultHeightM(1.31, sd, 6)));
    expect(stick?.low).toBeLessThan(exact?.low ?? 0);
    expect(stick?.high).toBeGreaterThan(exact?.high ?? 9);
    expect(stick?.value).toBe(exact?.value);
  });
});
