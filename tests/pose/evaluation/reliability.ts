/**
 * What a point's score is worth: how often points of that score lie within 2 % of H of their label, and how far they
 * scatter. Fitted by group of points on labelled pictures that no training has seen; what is shown of a fit was
 * foretold by the horses left over (each horse by the others).
 */
import {
  GROUPS,
  logisticOf,
  logit,
  logitOfScore,
  type Group,
  type GroupReliability,
  type Logistic,
} from '../../../src/pose/reliability.ts';
import { byHorse, share, shareFigure, type Figure } from './errors.ts';

/** A labelled point that was seen, its score and its error. */
export interface Witness {
  readonly horse: string;
  readonly group: Group;
  readonly score: number;
  readonly percentH: number;
}

export const WITHIN_PERCENT_H = 2;
export const EDGES = [0, 0.3, 0.5, 0.7, 0.8, 0.9, 1] as const;

const hitOf = ({ percentH }: Pick<Witness, 'percentH'>): number => Number(percentH <= WITHIN_PERCENT_H);

/** Probability that a point of this score lies within 2 % of H: never falls as the score grows. */
export type Calibration = (score: number) => number;
type Scored = Pick<Witness, 'score' | 'percentH'>;

const NEWTON_STEPS = 50;

/**
 * Two parameters by Newton's method on the log likelihood, hits and misses softened so that a few of one kind alone
 * give no certainty (Platt 1999, Probabilistic outputs for support vector machines, section 2.2). A slope below zero
 * is no calibration: the score then tells nothing, and the share of hits is given for all.
 */
export function fitLogistic(list: readonly Scored[]): Logistic {
  const hits = list.filter(hitOf).length;
  const soft = [1 / (list.length - hits + 2), (hits + 1) / (hits + 2)] as const;
  const points = list.map((one) => ({ x: logitOfScore(one.score), y: soft[hitOf(one) === 1 ? 1 : 0] }));
  const mean = share(points.map(({ y }) => y));
  let [intercept, slope] = [logit(mean), 0];
  for (let step = 0; step < NEWTON_STEPS; step++) {
    const sums = { g: 0, gx: 0, w: 1e-9, wx: 0, wxx: 1e-9 };
    for (const { x, y } of points) {
      const p = 1 / (1 + Math.exp(-intercept - slope * x));
      const w = p * (1 - p);
      sums.g += y - p;
      sums.gx += (y - p) * x;
      sums.w += w;
      sums.wx += w * x;
      sums.wxx += w * x * x;
    }
    const det = sums.w * sums.wxx - sums.wx ** 2;
    intercept += (sums.wxx * sums.g - sums.wx * sums.gx) / det;
    slope += (sums.w * sums.gx - sums.wx * sums.g) / det;
  }
  const told = slope > 0 && Number.isFinite(intercept + slope);
  return told ? { intercept, slope } : { intercept: logit(mean), slope: 0 };
}

/**
 * The best steps that never fall (pool adjacent violators; Ayer et al. 1955 Ann Math Stat 26:641), linear between
 * them; half a hit and half a miss are added to each step (Jeffreys' prior).
 */
export function fitIsotonic(list: readonly Scored[]): Calibration {
  const steps: { hits: number; n: number; from: number; to: number }[] = [];
  for (const one of [...list].sort((a, b) => a.score - b.score)) {
    steps.push({ hits: hitOf(one), n: 1, from: one.score, to: one.score });
    for (let [b, a] = [steps.at(-1), steps.at(-2)]; a && b; [b, a] = [steps.at(-1), steps.at(-2)]) {
      if (a.hits / a.n < b.hits / b.n) break;
      steps.splice(-2, 2, { hits: a.hits + b.hits, n: a.n + b.n, from: a.from, to: b.to });
    }
  }
  let highest = 0;
  const knots = steps.flatMap(({ hits, n, from, to }) => {
    highest = Math.max(highest, (hits + 0.5) / (n + 1));
    return [from, to].map((score) => ({ score, p: highest }));
  });
  return (score) => {
    const after = knots.findIndex((knot) => knot.score >= score);
    const [a, b] = [knots[after - 1], knots[after]];
    if (!b) return knots.at(-1)?.p ?? 0.5;
    if (!a || b.score === a.score) return b.p;
    return a.p + ((b.p - a.p) * (score - a.score)) / (b.score - a.score);
  };
}

export type Fit = (list: readonly Scored[]) => Calibration;
export const FITS = {
  logistic: (list) => logisticOf(fitLogistic(list)),
  isotonic: fitIsotonic,
} satisfies Record<string, Fit>;

/** What the fit foretells of each witness from those of the other horses, group by group. */
export function foretold(list: readonly Witness[], fit: Fit): number[] {
  const out = new Map<Witness, number>();
  for (const group of GROUPS) {
    const own = list.filter((one) => one.group === group);
    for (const [horse, left] of byHorse(own)) {
      const calibration = fit(own.filter((one) => one.horse !== horse));
      for (const one of left) out.set(one, calibration(one.score));
    }
  }
  return list.map((one) => out.get(one) ?? NaN);
}

/** Mean of -ln of the probability that was given to what came true. */
export const logLoss = (foretold: readonly number[], list: readonly Scored[]): number =>
  share(list.map((one, i) => loss(foretold[i] ?? NaN, one)));
const loss = (p: number, one: Scored): number => -Math.log(hitOf(one) === 1 ? p : 1 - p);

export interface Losses {
  readonly logistic: number;
  readonly isotonic: number;
  /** Of their difference, over horses. */
  readonly standardError: number;
}

/** Mean log loss of each kind of fit, as foretold from other horses. */
export function losses(list: readonly Witness[]): Losses {
  const [logistic, isotonic] = [foretold(list, FITS.logistic), foretold(list, FITS.isotonic)];
  const own = { logistic: logLoss(logistic, list), isotonic: logLoss(isotonic, list) };
  const apart = list.map((one, i) => ({
    horse: one.horse,
    by: loss(logistic[i] ?? NaN, one) - loss(isotonic[i] ?? NaN, one) - own.logistic + own.isotonic,
  }));
  const sums = [...byHorse(apart).values()].map((some) => some.reduce((sum, { by }) => sum + by, 0));
  return { ...own, standardError: Math.sqrt(sums.reduce((sum, x) => sum + x * x, 0)) / list.length };
}

export interface Bin {
  readonly group: Group;
  readonly from: number;
  readonly to: number;
  /** Share of points within 2 % of H, per cent. */
  readonly within: Figure;
  /** The same as the logistic foretells it from other horses' points, per cent; and the mean score. */
  readonly foretold: number;
  readonly meanScore: number;
}

/** Bins that hold points, by group. Scores are peaks of heatmaps and may pass 1: those lie in the last bin. */
export function reliabilityTable(list: readonly Witness[]): Bin[] {
  const given = foretold(list, FITS.logistic);
  return GROUPS.flatMap((group) =>
    EDGES.slice(0, -1).flatMap((from, k) => {
      const to = EDGES[k + 1] ?? 1;
      const isIn = ({ group: g, score }: Witness): boolean =>
        g === group && score >= from && (score < to || to === 1);
      const own = list.filter(isIn);
      const within = shareFigure(
        own.map((one) => ({ value: hitOf(one), horse: one.horse })),
        (hit) => hit === 1,
      );
      if (!within) return [];
      const foretold = 100 * share(given.filter((_, i) => isIn(list[i] as Witness)));
      return [{ group, from, to, within, foretold, meanScore: share(own.map(({ score }) => score)) }];
    }),
  );
}

type Spread = Pick<GroupReliability, 'sigmaPercentH' | 'sigmaSlope' | 'astray'>;

/** What is astray lies anywhere within this, % of H. */
const ASTRAY_PERCENT_H = 30;
const FIT_ROUNDS = 400;

/**
 * Errors as a mixture: distances of a two-dimensional Gaussian (Rayleigh), whose spread depends on the score, and a few
 * points anywhere near; by expectation and maximisation, the latter by one damped Newton step on (ln sigma, slope).
 */
export function fitSpread(list: readonly Scored[]): Spread {
  const points = list.map(({ score, percentH }) => ({ x: 1 - Math.min(1, score), r: percentH }));
  const rs = points.map(({ r }) => r).sort((a, b) => a - b);
  // The median of a Rayleigh distribution is sigma sqrt(2 ln 2).
  let [a, b, astray] = [Math.log((rs[rs.length >> 1] ?? 1) / Math.sqrt(2 * Math.LN2)), 1, 0.05];
  for (let round = 0; round < FIT_ROUNDS; round++) {
    const sums = { g: 0, gx: 0, h: 1e-6, hx: 0, hxx: 1e-6, own: 0 };
    for (const { x, r } of points) {
      const variance = Math.exp(2 * (a + b * x));
      const near = ((1 - astray) * r * Math.exp((-r * r) / (2 * variance))) / variance;
      const far = astray * (r < ASTRAY_PERCENT_H ? (2 * r) / ASTRAY_PERCENT_H ** 2 : 1);
      const own = r === 0 ? 1 : near / (near + far);
      const q = (r * r) / variance;
      sums.g += own * (q - 2);
      sums.gx += own * (q - 2) * x;
      sums.h += 2 * own * q;
      sums.hx += 2 * own * q * x;
      sums.hxx += 2 * own * q * x * x;
      sums.own += own;
    }
    astray = 1 - sums.own / points.length;
    const det = sums.h * sums.hxx - sums.hx ** 2;
    const step = (d: number): number => Math.max(-0.5, Math.min(0.5, d));
    a += step((sums.hxx * sums.g - sums.hx * sums.gx) / det);
    b += step((sums.h * sums.gx - sums.hx * sums.g) / det);
  }
  return { sigmaPercentH: Math.exp(a), sigmaSlope: b, astray };
}

const rounded = (x: number, digits = 3): number => Number(x.toFixed(digits));

/** What is known of each group that has points, as src/pose/reliability.ts reads it. */
export function reliability(list: readonly Witness[]): Partial<Record<Group, GroupReliability>> {
  const groups = GROUPS.flatMap((group): [Group, GroupReliability][] => {
    const own = list.filter((one) => one.group === group);
    if (own.length === 0) return [];
    const scores = own.map(({ score }) => score).sort((a, b) => a - b);
    const at = (p: number): number => rounded(scores[Math.round((scores.length - 1) * p)] ?? NaN, 2);
    const fits = Object.entries({ ...fitLogistic(own), ...fitSpread(own) }).map(([k, v]) => [k, rounded(v)]);
    const all = Object.fromEntries(fits) as unknown as Logistic & Spread;
    return [[group, { ...all, n: own.length, horses: byHorse(own).size, scores: [at(0.02), at(0.98)] }]];
  });
  return Object.fromEntries(groups);
}
