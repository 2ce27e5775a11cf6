import fc from 'fast-check';
import { Matrix, inverse } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/track/similarity.ts';
import { smooth } from '../../src/track/smoother.ts';

/**
 * The smoother's answer is the mean of a Gaussian posterior, so it can be had in one piece from the normal equations:
 * looks weigh 1 / variance, each step of the state weighs the inverse of its process covariance.
 */
function batch(timesS: readonly number[], z: readonly number[], r: readonly number[], q: readonly number[]) {
  const n = timesS.length;
  const A = Matrix.zeros(2 * n, 2 * n);
  const b = Matrix.zeros(2 * n, 1);
  z.forEach((value, i) => {
    const v = r[i] ?? Infinity;
    if (!Number.isFinite(v)) return;
    A.set(2 * i, 2 * i, A.get(2 * i, 2 * i) + 1 / v);
    b.set(2 * i, 0, value / v);
  });
  for (let i = 1; i < n; i++) {
    const dt = (timesS[i] ?? 0) - (timesS[i - 1] ?? 0);
    const density = ((q[i] ?? 0) + (q[i - 1] ?? 0)) / 2;
    const Q = new Matrix([
      [dt ** 3 / 3, dt ** 2 / 2],
      [dt ** 2 / 2, dt],
    ]).mul(density);
    const D = new Matrix([
      [-1, -dt, 1, 0],
      [0, -1, 0, 1],
    ]);
    const W = D.transpose().mmul(inverse(Q)).mmul(D);
    for (let j = 0; j < 4; j++)
      for (let k = 0; k < 4; k++) {
        const [row, column] = [2 * (i - 1) + j, 2 * (i - 1) + k];
        A.set(row, column, A.get(row, column) + W.get(j, k));
      }
  }
  const P = inverse(A);
  const mean = P.mmul(b);
  return {
    at: (i: number) => mean.get(2 * i, 0),
    speed: (i: number) => mean.get(2 * i + 1, 0),
    variance: (i: number) => P.get(2 * i, 2 * i),
  };
}

describe('the smoother', () => {
  it('agrees with the normal equations solved in one piece, at irregular times and with gaps', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1000 }), (seed) => {
        const random = seededRandom(seed);
        const timesS: number[] = [0];
        for (let i = 1; i < 14; i++) timesS.push((timesS[i - 1] ?? 0) + 0.01 + 0.06 * random());
        const z = timesS.map((t) => 300 * Math.sin(3 * t) + 4 * random());
        const r = timesS.map((_, i) => (i === 5 || i === 6 ? Infinity : 4 + 20 * random()));
        const q = timesS.map(() => 1e4 + 1e5 * random());
        const all = (v: readonly number[]): Float64Array => Float64Array.from(v);
        const s = smooth({ timesS, x: all(z), y: all(z.map((v) => -v)), variance: all(r), density: all(q) });
        const truth = batch(timesS, z, r, q);
        timesS.forEach((_, i) => {
          expect(Math.abs((s.x[i] ?? NaN) - truth.at(i))).toBeLessThan(0.01);
          expect(Math.abs((s.y[i] ?? NaN) + truth.at(i))).toBeLessThan(0.01);
          expect(Math.abs((s.vx[i] ?? NaN) - truth.speed(i))).toBeLessThan(0.5);
          expect((s.variance[i] ?? NaN) / truth.variance(i)).toBeCloseTo(1, 2);
        });
      }),
      { numRuns: 25 },
    );
  });

  it('says nothing before the first and after the last look, nor without any', () => {
    const timesS = [0, 0.1, 0.2, 0.3];
    const look = Float64Array.from([NaN, 5, 6, NaN]);
    const density = new Float64Array(4).fill(10);
    const s = smooth({
      timesS,
      x: look,
      y: look,
      variance: Float64Array.from([Infinity, 1, 1, Infinity]),
      density,
    });
    expect([...s.x].map(Number.isFinite)).toEqual([false, true, true, false]);
    const none = smooth({ timesS, x: look, y: look, variance: new Float64Array(4).fill(Infinity), density });
    expect([...none.x].some(Number.isFinite)).toBe(false);
  });
});
