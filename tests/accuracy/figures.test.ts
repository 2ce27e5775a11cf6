/** Figures of the bench against another library and against worked values. */
import { mean, quantile as otherQuantile, rootMeanSquare } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { numbers } from '../support/kinematicLaws.ts';
import { figures, quantile, type Row, type Sample } from './figures.ts';

const sample = (error: number | null, change: Partial<Sample> = {}): Sample => ({
  measure: 'overtrackM',
  unit: 'cm',
  groups: [],
  error,
  held: null,
  ...change,
});
const only = (samples: readonly Sample[], group = 'all', measure = 'overtrackM'): Row => {
  const rows = figures(samples).filter((r) => r.group === group && r.measure === measure);
  expect(rows).toHaveLength(1);
  return rows[0] as Row;
};

describe('figures of errors', () => {
  // With 20 k + 1 values the 95 % lie exactly on one of them, where all definitions agree.
  it.each([21, 41, 101])('bias, RMS and 95th percentile of %i errors are those of simple-statistics', (n) => {
    const random = numbers(n);
    const errors = Array.from({ length: n }, () => 0.4 + 2 * random.normal());
    const row = only(errors.map((e) => sample(e)));
    expect(row.n).toBe(n);
    expect(row.bias).toBeCloseTo(mean(errors), 12);
    expect(row.rms).toBeCloseTo(rootMeanSquare(errors), 12);
    expect(row.p95).toBeCloseTo(otherQuantile(errors.map(Math.abs), 0.95), 12);
  });

  it('between two values the percentile is linear (Hyndman & Fan 1996, Am Stat 50:361, type 7)', () => {
    // Worked values: at (n - 1) p; numpy.percentile and R's quantile give the same by default.
    expect(quantile([1, 2, 3, 4, 5, 6, 7, 8, 9, 10], 0.95)).toBeCloseTo(9.55, 12);
    expect(quantile([10, 1, 3], 0.95)).toBeCloseTo(9.3, 12);
    expect(quantile([4], 0.95)).toBe(4);
    expect(only([sample(-10), sample(1), sample(3)]).p95).toBeCloseTo(9.3, 12);
  });

  it('a worked example: errors 3, -4, 0', () => {
    const row = only([3, -4, 0].map((e) => sample(e)));
    expect(row.bias).toBeCloseTo(-1 / 3, 12);
    expect(row.rms).toBeCloseTo(Math.sqrt(25 / 3), 12);
    expect(row).toMatchObject({ n: 3, failed: 0, reasons: {}, unit: 'cm' });
  });
});

describe('figures of intervals and failures', () => {
  it('coverage counts intervals alone', () => {
    const held = [true, true, true, false].map((h) => sample(1, { held: h }));
    expect(only([...held, sample(1), sample(null, { reason: 'noScale' })]).coverage).toBe(0.75);
    expect(only([sample(1)]).coverage).toBeNull();
    const both = [true, false, null].map((d) => sample(1, { held: true, heldDrawn: d }));
    expect(only([...both, sample(1)])).toMatchObject({ coverage: 1, coverageDrawn: 0.5 });
    expect(only([sample(1, { held: true })]).coverageDrawn).toBeNull();
  });

  it('measures that were not given are counted by their reasons, and spoil no mean', () => {
    const row = only([
      sample(2),
      sample(null, { reason: 'noPass' }),
      sample(null, { reason: 'noScale' }),
      sample(null, { reason: 'noPass' }),
      sample(null),
    ]);
    expect(row).toMatchObject({ n: 1, bias: 2, failed: 4, reasons: { noPass: 2, noScale: 1, unknown: 1 } });
    const none = only([sample(null, { reason: 'noPass' })]);
    expect(none).toMatchObject({ n: 0, bias: null, rms: null, p95: null, coverage: null, failed: 1 });
  });

  it('splits by group, and leaves a group without samples out', () => {
    const samples = [
      sample(1, { groups: ['60 fps', 'tripod'] }),
      sample(3, { groups: ['60 fps', 'panned'] }),
      sample(7, { groups: ['30 fps', 'tripod'], measure: 'headNodM' }),
    ];
    expect(only(samples).bias).toBe(2);
    expect(only(samples, '60 fps').n).toBe(2);
    expect(only(samples, 'tripod').bias).toBe(1);
    expect(only(samples, 'tripod', 'headNodM').bias).toBe(7);
    expect(figures(samples).some((r) => r.measure === 'headNodM' && r.group === 'panned')).toBe(false);
    expect(figures([])).toEqual([]);
  });
});
