import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  applySimilarity,
  compose,
  fitRobust,
  fitSimilarity,
  IDENTITY,
  invert,
  ransacRounds,
  scaleOf,
  seededRandom,
} from '../../src/track/similarity.ts';

const similarity = fc.record({
  a: fc.double({ min: 0.3, max: 2, noNaN: true }),
  b: fc.double({ min: -1, max: 1, noNaN: true }),
  tx: fc.double({ min: -500, max: 500, noNaN: true }),
  ty: fc.double({ min: -500, max: 500, noNaN: true }),
});
const point = fc.record({
  x: fc.double({ min: -2000, max: 2000, noNaN: true }),
  y: fc.double({ min: -2000, max: 2000, noNaN: true }),
});

describe('similarities', () => {
  it("gives Umeyama's worked example (IEEE TPAMI 1991, 13:376, section IV)", () => {
    const from = [
      { x: 0, y: 0 },
      { x: 1, y: 0 },
      { x: 0, y: 2 },
    ];
    const to = [
      { x: 0, y: 0 },
      { x: -1, y: 0 },
      { x: 0, y: 2 },
    ];
    const s = fitSimilarity(from, to);
    expect(s).not.toBeNull();
    const fit = s ?? IDENTITY;
    const c = scaleOf(fit);
    // R = [[.832, .555], [-.555, .832]], c = .721, t = (-.8, .4)
    expect(c).toBeCloseTo(0.7211, 4);
    expect(fit.a / c).toBeCloseTo(0.832, 3);
    expect(-fit.b / c).toBeCloseTo(0.555, 3);
    expect(fit.tx).toBeCloseTo(-0.8, 4);
    expect(fit.ty).toBeCloseTo(0.4, 4);
  });

  it('composes, inverts and refits what it applied', () => {
    fc.assert(
      fc.property(similarity, similarity, point, (s, t, p) => {
        const both = applySimilarity(compose(t, s), p);
        const one = applySimilarity(t, applySimilarity(s, p));
        expect(Math.hypot(both.x - one.x, both.y - one.y)).toBeLessThan(1e-6);
        const back = applySimilarity(invert(s), applySimilarity(s, p));
        expect(Math.hypot(back.x - p.x, back.y - p.y)).toBeLessThan(1e-6);
        const from = [p, { x: p.x + 100, y: p.y }, { x: p.x, y: p.y + 70 }];
        const fit = fitSimilarity(
          from,
          from.map((q) => applySimilarity(s, q)),
        );
        expect(Math.abs((fit?.a ?? NaN) - s.a)).toBeLessThan(1e-7);
        expect(Math.abs((fit?.b ?? NaN) - s.b)).toBeLessThan(1e-7);
      }),
    );
  });

  it('says that one point gives no map', () => {
    expect(fitSimilarity([], [])).toBeNull();
    expect(
      fitSimilarity(
        [
          { x: 3, y: 4 },
          { x: 3, y: 4 },
        ],
        [
          { x: 1, y: 1 },
          { x: 2, y: 2 },
        ],
      ),
    ).toBeNull();
  });

  it.each([
    [2, 17],
    [3, 35],
    [4, 72],
  ])('needs the known rounds for samples of %i (p .99, half inliers)', (n, rounds) => {
    // log(.01) / log(1 - .5^n), rounded up.
    expect(ransacRounds(0.99, 0.5, n)).toBe(rounds);
  });

  it('finds the map under 40 % of outliers, the same each time', () => {
    const random = seededRandom(7);
    const truth = { a: 0.99, b: 0.02, tx: 31, ty: -7 };
    const from = Array.from({ length: 100 }, () => ({ x: random() * 640, y: random() * 360 }));
    const to = from.map((p, i) => {
      const q = applySimilarity(truth, p);
      return i % 5 < 2
        ? { x: q.x + 20 + 50 * random(), y: q.y - 40 * random() }
        : { x: q.x + random() * 0.2 - 0.1, y: q.y + random() * 0.2 - 0.1 };
    });
    const fit = fitRobust(from, to, 1);
    expect(fit?.inliers).toBe(60);
    const error = applySimilarity(fit?.similarity ?? IDENTITY, { x: 320, y: 180 });
    const exact = applySimilarity(truth, { x: 320, y: 180 });
    expect(Math.hypot(error.x - exact.x, error.y - exact.y)).toBeLessThan(0.05);
    expect(fitRobust(from, to, 1)).toEqual(fit);
  });
});
