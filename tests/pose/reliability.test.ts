/** What scores are worth, on made-up points whose law is known. */
import { describe, expect, it } from 'vitest';
import meta from '../../models/horse-keypoints/meta.json';
import measured from '../../models/horse-keypoints/reliability.json';
import { POINT_NAMES } from '../../src/points.ts';
import { withProbabilities } from '../../src/report/contract.ts';
import { logisticOf, probability } from '../../src/pose/reliability.ts';
import { numbers } from '../support/kinematicLaws.ts';
import {
  fitIsotonic,
  fitLogistic,
  FITS,
  fitSpread,
  foretold,
  logLoss,
  losses,
  reliability,
  reliabilityTable,
  type Witness,
} from './evaluation/reliability.ts';

/** Points of ten horses whose errors are those of a Gaussian with this SD. */
function made(n: number, sigma: (score: number) => number, seed: number): Witness[] {
  const random = numbers(seed);
  return Array.from({ length: n }, (_, i) => {
    const score = 0.5 + 0.48 * random.uniform();
    const percentH = sigma(score) * Math.hypot(random.normal(), random.normal());
    return { horse: `h${i % 10}`, group: 'toes', score, percentH };
  });
}

describe('what a score is worth', () => {
  const law = (score: number): number => 0.6 * Math.exp(4 * (1 - score));

  it('the spread of made-up points is found again, a tenth of them astray', () => {
    const points = made(4000, law, 3).map((p, i) => (i % 10 === 0 ? { ...p, percentH: 3 + (i % 27) } : p));
    const { sigmaPercentH, sigmaSlope, astray } = fitSpread(points);
    expect(sigmaPercentH).toBeCloseTo(0.6, 1);
    expect(sigmaSlope).toBeCloseTo(4, 0);
    expect(Math.abs(astray - 0.1)).toBeLessThan(0.03);
  });

  /** Points that lie within 2 % with this probability. */
  const hitting = (n: number, probability: (score: number) => number, seed: number): Witness[] => {
    const random = numbers(seed);
    const hit = (p: Witness): Witness => ({
      ...p,
      percentH: random.uniform() < probability(p.score) ? 1 : 9,
    });
    return made(n, law, seed + 1).map(hit);
  };
  const truth = logisticOf({ intercept: -2, slope: 1.5 });

  it('both calibrations come near the true probability, the logistic to its numbers', () => {
    const points = hitting(4000, truth, 5);
    expect(fitLogistic(points).intercept).toBeCloseTo(-2, 0);
    expect(fitLogistic(points).slope).toBeCloseTo(1.5, 0);
    for (const fit of Object.values(FITS))
      for (const score of [0.6, 0.7, 0.8, 0.9])
        expect(Math.abs(fit(points)(score) - truth(score))).toBeLessThan(0.06);
  });

  it('neither falls as the score grows, nor is ever sure', () => {
    const backwards = made(200, (score) => 0.6 * Math.exp(4 * score), 7);
    expect(fitLogistic(backwards).slope).toBe(0);
    for (const list of [backwards, made(200, law, 8), made(30, () => 0.1, 9)])
      for (const fit of Object.values(FITS)) {
        const at = [0, 0.3, 0.5, 0.7, 0.9, 1, 1.2].map(fit(list));
        at.forEach((p, i) => expect(p).toBeGreaterThanOrEqual(at[i - 1] ?? 0));
        for (const p of at) expect(p > 0 && p < 1).toBe(true);
      }
  });

  it('pools what falls: a worked example', () => {
    const list = [true, false, true, true].map((hit, i) => ({ score: 0.2 * i, percentH: hit ? 1 : 9 }));
    const calibration = fitIsotonic(list);
    // One hit in two, then two in two; with half a hit and half a miss each: 1.5 / 3 and 2.5 / 3.
    expect(calibration(0.1)).toBeCloseTo(0.5, 12);
    expect(calibration(0.6)).toBeCloseTo(2.5 / 3, 12);
  });

  it('is foretold by other horses alone', () => {
    const list = made(60, law, 11).map((p) => ({ ...p, percentH: p.horse === 'h0' ? 50 : 0 }));
    const given = foretold(list, FITS.logistic);
    const mean = (wanted: boolean): number => {
      const own = given.filter((_, i) => (list[i]?.horse === 'h0') === wanted);
      return own.reduce((sum, p) => sum + p, 0) / own.length;
    };
    // Those of h0 are all off, and of the others none: h0 is foretold by hits alone, the others by hits and misses.
    expect(mean(true)).toBeGreaterThan(mean(false) + 0.05);
  });

  it('log loss: a worked example', () => {
    const list = [
      { score: 1, percentH: 1 },
      { score: 1, percentH: 9 },
    ];
    expect(logLoss([0.8, 0.4], list)).toBeCloseTo((-Math.log(0.8) - Math.log(0.6)) / 2, 12);
  });

  it('bins hold what fell into them, and what is beyond 1 in the last', () => {
    const list = [0.75, 0.72, 0.95, 1.02].map((score, i): Witness => ({
      horse: `h${i}`,
      group: 'toes',
      score,
      percentH: i,
    }));
    const table = reliabilityTable(list);
    expect(table.map(({ from, within }) => [from, within.n, within.value])).toEqual([
      [0.7, 2, 100],
      [0.9, 2, 50],
    ]);
  });

  it('steps foretell worse where the law is smooth, better where it is a step', () => {
    const smooth = losses(hitting(400, truth, 13));
    expect(smooth.isotonic).toBeGreaterThan(smooth.logistic);
    const step = losses(hitting(2000, (score) => (score < 0.6 ? 0.05 : 0.6), 15));
    expect(step.logistic - step.isotonic).toBeGreaterThan(step.standardError);
  });

  it('comes as plain numbers that give the same probability', () => {
    const list = made(500, law, 17);
    const { toes, knees } = JSON.parse(JSON.stringify(reliability(list))) as ReturnType<typeof reliability>;
    expect(knees).toBeUndefined();
    if (!toes) throw new Error('no toes');
    expect(toes).toMatchObject({ n: 500, horses: 10 });
    expect(logisticOf(toes)(0.8)).toBeCloseTo(logisticOf(fitLogistic(list))(0.8), 2);
  });
});

describe('what the scores of the network that ships are worth', () => {
  it('was measured on that network', () => {
    expect(measured.network).toBe(meta.version);
    for (const groups of Object.values(measured.ways))
      for (const { n, horses } of Object.values(groups)) expect(Math.min(n / 2, horses)).toBeGreaterThan(15);
  });

  it('never falls as the score grows, and is nothing for a point not seen', () => {
    for (const name of POINT_NAMES)
      for (const way of ['once', 'bothWays'] as const) {
        const at = [0, 0.1, 0.4, 0.6, 0.8, 0.9, 0.97, 1.2].map((score) => probability(name, score, way));
        expect(at[0]).toBe(0);
        at.forEach((p, i) => expect(p).toBeGreaterThanOrEqual(at[i - 1] ?? 0));
        expect(at.at(-1)).toBeLessThan(1);
      }
  });

  it('is what the files say of a point, and leaves the rest as it is', () => {
    const at = { x: 3, y: 4, score: 0.8 };
    const horse = { box: [0, 0, 9, 9], view: 'left', points: { withers: at } } as const;
    expect(withProbabilities(horse, 'once')).toEqual({
      ...horse,
      points: { withers: { ...at, score: probability('withers', 0.8, 'once') } },
    });
  });
});
