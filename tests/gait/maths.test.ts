import fc from 'fast-check';
import { sampleCorrelation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { circularMean, meanPhase, phaseDifference, wrapPhase } from '../../src/gait/circular.ts';
import { frameTimingSdS } from '../../src/gait/edges.ts';
import { alongH, alongPerPx, heightAt, tanObliquity, wrongPlane } from '../../src/gait/geometry.ts';
import { strideMean } from '../../src/gait/interval.ts';
import { localPolynomial } from '../../src/gait/localPolynomial.ts';
import { seededRandom } from '../../src/gait/random.ts';
import { regress } from '../../src/gait/regression.ts';
import { bootstrapMeanSd, quadrature, robustSd, tQuantile975 } from '../../src/gait/statistics.ts';
import { circularSdRad, foreshortening, obliqueScale, stridesNeeded } from '../oracles/geometry.ts';
import * as oracle from '../oracles/maths.ts';

const rad = (deg: number): number => (deg * Math.PI) / 180;

describe('circular statistics (Zar, Biostatistical Analysis)', () => {
  it("gives Zar's mean angle and vector length", () => {
    const mean = circularMean(oracle.ZAR.anglesDeg.map(rad));
    expect(((mean?.angleRad ?? 0) * 180) / Math.PI).toBeCloseTo(oracle.ZAR.meanDeg, 1);
    expect(mean?.resultant).toBeCloseTo(oracle.ZAR.resultant, 4);
  });
  it('takes phases on both sides of the turn to 0, not to 0.5', () => {
    expect(phaseDifference(meanPhase([0.98, 0.02, 0.01, 0.99]) ?? 0.5, 0)).toBeCloseTo(0, 9);
  });
  it('has no mean of opposite directions', () => expect(meanPhase([0.1, 0.6])).toBeNull());
  it('turns with its phases', () => {
    const phases = fc.array(fc.double({ min: 0, max: 0.4, noNaN: true }), { minLength: 2, maxLength: 9 });
    fc.assert(
      fc.property(phases, fc.double({ min: 0, max: 1, noNaN: true }), (list, by) => {
        const turned = meanPhase(list.map((p) => wrapPhase(p + by)));
        expect(phaseDifference(turned ?? 0, wrapPhase((meanPhase(list) ?? 0) + by))).toBeCloseTo(0, 9);
      }),
      { seed: 1, numRuns: 50 },
    );
  });
  it('has the circular SD of a narrow sample near its linear SD', () => {
    const mean = circularMean([-0.1, 0, 0.1]);
    expect(circularSdRad(mean?.resultant ?? 0)).toBeCloseTo(Math.sqrt(0.02 / 3), 3);
  });
});

describe('local polynomial', () => {
  const times = [0, 1, 2, 3, 4];
  const unit = (k: number): number[] => times.map((_, i) => (i === k ? 1 : 0));
  it('is the Savitzky-Golay filter on an even grid (Savitzky & Golay 1964)', () => {
    times.forEach((_, k) => {
      const fit = localPolynomial(times, unit(k), 2, 2, 2);
      expect((fit?.value ?? 0) * 35).toBeCloseTo(oracle.SAVITZKY_GOLAY.value35[k] ?? 0, 9);
      expect((fit?.slope ?? 0) * 10).toBeCloseTo(oracle.SAVITZKY_GOLAY.slope10[k] ?? 0, 9);
      expect((localPolynomial(times, unit(k), 2, 2, 1)?.slope ?? 0) * 10).toBeCloseTo(
        oracle.SAVITZKY_GOLAY.slope10[k] ?? 0,
        9,
      );
    });
  });
  it('gives a parabola back on uneven times with gaps', () => {
    const uneven = [0, 0.9, 2.2, 3, 4.1, 5];
    const values = uneven.map((t, i) => (i === 3 ? null : 2 + t - 0.5 * t * t));
    const fit = localPolynomial(uneven, values, 2.5, 3, 2);
    expect(fit?.value).toBeCloseTo(2 + 2.5 - 0.5 * 6.25, 9);
    expect(fit?.slope).toBeCloseTo(1 - 2.5, 9);
  });
  it('is null with too few samples', () => expect(localPolynomial([0, 1], [1, null], 0, 2, 1)).toBeNull());
});

describe('small-sample statistics', () => {
  it.each(oracle.T_975)('t of %i degrees of freedom is %f (printed tables)', (df, t) => {
    expect(tQuantile975(df)).toBeCloseTo(t, 3);
  });
  it('bootstraps the standard error of a mean: SD / sqrt(n), and the same again', () => {
    const random = seededRandom(4);
    const values = Array.from({ length: 40 }, () => random());
    const n = values.length;
    const mean = values.reduce((a, b) => a + b, 0) / n;
    const sd = Math.sqrt(values.reduce((s, v) => s + (v - mean) ** 2, 0) / n);
    expect(bootstrapMeanSd(values) / (sd / Math.sqrt(n))).toBeCloseTo(1, 1);
    expect(bootstrapMeanSd(values)).toBe(bootstrapMeanSd(values));
  });
  it('draws even and unrelated numbers', () => {
    const random = seededRandom(9);
    const a = Array.from({ length: 4000 }, () => random());
    expect(Math.abs(sampleCorrelation(a.slice(1), a.slice(0, -1)))).toBeLessThan(0.05);
    expect(a.reduce((s, v) => s + v, 0) / a.length).toBeCloseTo(0.5, 1);
  });
  it('is deaf to an outlier', () => expect(robustSd([1, 2, 3, 4, 1000])).toBeLessThan(2));
  it('fits a line with the textbook standard error sigma / sqrt(Sxx)', () => {
    const fit = regress([0, 1, 2, 3].map((x) => ({ x: [1, x], y: 2 + 3 * x, sd: 0.5 })));
    expect(fit?.coefficients).toEqual([expect.closeTo(2, 9), expect.closeTo(3, 9)]);
    expect(fit?.sds[1]).toBeCloseTo(0.5 / Math.sqrt(5), 9);
  });
});

describe('timing and geometry (exact)', () => {
  it.each(oracle.FRAME_INTERVAL_MS)('at %i fps an interval has an SD of %f ms', (fps, ms) => {
    const moment = frameTimingSdS(1 / fps);
    expect(quadrature(moment, moment) * 1000).toBeCloseTo(ms, 1);
  });
  it.each(oracle.FORESHORTENING_PCT)(
    'a path turned by %i degrees is read wrong by %f per cent',
    (deg, pct) => {
      expect(foreshortening(deg) * 100).toBeCloseTo(pct, 1);
      // Seen 200 px high, the path's slope in the picture is that of its angle; one px of a flat path is 1 / 200 of it.
      const turned = { heightPx: 200, atForwardPx: 0, slope: 0, curve: 0, focalPx: 1500 };
      const slope = (-Math.tan(rad(deg)) * turned.heightPx) / turned.focalPx;
      const read = alongPerPx(turned, 0) / alongPerPx({ ...turned, slope }, 0);
      expect((read - 1) * 100).toBeCloseTo(pct, 1);
    },
  );
  it.each(oracle.OBLIQUE_SCALE)('10 degrees, 8 m: at s = %i m the scale is %f', (s, scale) => {
    expect(obliqueScale(10, 8, s)).toBeCloseTo(scale, 3);
  });
  it.each(oracle.WRONG_PLANE_PCT)('0.3 m nearer at %i m is read wrong by %f per cent', (distance, pct) => {
    expect(wrongPlane(0.3, distance) * 100).toBeCloseTo(pct, 2);
  });
  it.each(oracle.STRIDES_NEEDED)('a CV of %i per cent needs %i strides for 2 per cent', (cv, n) => {
    expect(stridesNeeded(cv / 100, 0.02)).toBe(n);
    // So many strides that vary by just that much: the core's standard error times 1.96 is at most 2 per cent or so.
    const raw = Array.from({ length: n }, (_, i) => i - (n - 1) / 2);
    const rawSd = Math.sqrt(raw.reduce((sum, v) => sum + v * v, 0) / n);
    const strides = raw.map((v) => ({ value: 1 + (v / rawSd) * (cv / 100), sd: 0 }));
    const expected = (1.96 * cv) / 100 / Math.sqrt(n);
    expect((1.96 * (strideMean(strides, cv / 100, n, 'both')?.sd ?? 0)) / expected).toBeCloseTo(1, 1);
  });
});

describe('the path seen by a pinhole camera', () => {
  const f = 1500;
  const H = 1.6;
  const Z = 8;
  const a = rad(10);
  const xOf = (s: number): number => (f * s * Math.cos(a)) / (Z + s * Math.sin(a));
  const hOf = (s: number): number => (f * H) / (Z + s * Math.sin(a));
  const view = {
    heightPx: (f * H) / Z,
    atForwardPx: 0,
    slope: (hOf(2) - hOf(-2)) / (xOf(2) - xOf(-2)),
    curve: 0,
    focalPx: f,
  };
  it('sees a height that is linear along the picture', () => {
    for (const s of [-2, -1, 0, 1, 2]) expect(heightAt(view, xOf(s))).toBeCloseTo(hOf(s), 6);
  });
  it('reads the angle from its slope', () => expect(tanObliquity(view, 100)).toBeCloseTo(Math.tan(a), 9));
  it('puts every place back where it was', () => {
    for (const s of [-2, -0.7, 0, 1, 2]) expect(alongH(view, xOf(s)) * H).toBeCloseTo(s, 5);
  });
  it('has the local scale of the exact formula', () => {
    for (const s of [-2, 0, 2]) {
      expect(H * alongPerPx(view, xOf(s)) * (f / Z)).toBeCloseTo(1 / obliqueScale(10, Z, s), 6);
    }
  });
});
