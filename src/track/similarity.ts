import type { Similarity } from './types.ts';

export interface Point {
  readonly x: number;
  readonly y: number;
}

export const IDENTITY: Similarity = { a: 1, b: 0, tx: 0, ty: 0 };

export const applySimilarity = (s: Similarity, p: Point): Point => ({
  x: s.a * p.x - s.b * p.y + s.tx,
  y: s.b * p.x + s.a * p.y + s.ty,
});

/** The map that does `first`, then `second`. */
export const compose = (second: Similarity, first: Similarity): Similarity => ({
  a: second.a * first.a - second.b * first.b,
  b: second.b * first.a + second.a * first.b,
  tx: second.a * first.tx - second.b * first.ty + second.tx,
  ty: second.b * first.tx + second.a * first.ty + second.ty,
});

/** Undoes `s`. Its scale must not be zero. */
export function invert(s: Similarity): Similarity {
  const scale2 = s.a * s.a + s.b * s.b;
  const a = s.a / scale2;
  const b = -s.b / scale2;
  return { a, b, tx: -(a * s.tx - b * s.ty), ty: -(b * s.tx + a * s.ty) };
}

export const scaleOf = (s: Similarity): number => Math.hypot(s.a, s.b);

/**
 * Least-squares similarity that takes `from` to `to`, a proper rotation even where the data suggest a mirror.
 * Null when fewer than two distinct points carry weight.
 * Umeyama 1991, IEEE Trans Pattern Anal Mach Intell 13:376; in two dimensions its solution has this closed form.
 */
export function fitSimilarity(
  from: readonly Point[],
  to: readonly Point[],
  weights?: readonly number[],
): Similarity | null {
  let sum = 0;
  let fx = 0;
  let fy = 0;
  let gx = 0;
  let gy = 0;
  const each = (visit: (f: Point, g: Point, w: number) => void): void => {
    from.forEach((f, i) => {
      const g = to[i];
      const w = weights ? (weights[i] ?? 0) : 1;
      if (g && w > 0) visit(f, g, w);
    });
  };
  each((f, g, w) => {
    sum += w;
    fx += w * f.x;
    fy += w * f.y;
    gx += w * g.x;
    gy += w * g.y;
  });
  if (sum === 0) return null;
  [fx, fy, gx, gy] = [fx / sum, fy / sum, gx / sum, gy / sum];
  let dot = 0;
  let cross = 0;
  let spread = 0;
  each((f, g, w) => {
    const [ux, uy, vx, vy] = [f.x - fx, f.y - fy, g.x - gx, g.y - gy];
    dot += w * (ux * vx + uy * vy);
    cross += w * (ux * vy - uy * vx);
    spread += w * (ux * ux + uy * uy);
  });
  if (spread <= 1e-12 * sum * (fx * fx + fy * fy + 1)) return null;
  const a = dot / spread;
  const b = cross / spread;
  return { a, b, tx: gx - (a * fx - b * fy), ty: gy - (b * fx + a * fy) };
}

/**
 * Rounds of RANSAC that draw, with the wanted probability, at least one sample free of outliers:
 * log(1 - p) / log(1 - w^n), rounded up (Fischler & Bolles 1981, Commun ACM 24:381).
 */
export function ransacRounds(probability: number, inlierShare: number, sampleSize: number): number {
  const good = Math.min(inlierShare, 1) ** sampleSize;
  if (good >= 1) return 1;
  if (good <= 0) return Infinity;
  return Math.max(1, Math.ceil(Math.log(1 - probability) / Math.log1p(-good)));
}

/** Multiplicative generator with a fixed seed (Park & Miller 1988): the same data always give the same fit. */
export function seededRandom(seed: number): () => number {
  let state = (seed % 2147483646) + 1;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
}

export interface RobustFit {
  readonly similarity: Similarity;
  readonly inlier: readonly boolean[];
  readonly inliers: number;
}

const distance = (s: Similarity, f: Point, g: Point): number =>
  Math.hypot(s.a * f.x - s.b * f.y + s.tx - g.x, s.b * f.x + s.a * f.y + s.ty - g.y);

/** Which pairs lie within `limit` of the map. */
export function agreeing(
  s: Similarity,
  from: readonly Point[],
  to: readonly Point[],
  limit: number,
): boolean[] {
  return from.map((f, i) => {
    const g = to[i];
    return g !== undefined && distance(s, f, g) <= limit;
  });
}

const count = (flags: readonly boolean[]): number => flags.reduce((n, flag) => n + (flag ? 1 : 0), 0);

/** Similarity that most pairs agree with, refitted to those pairs; null without at least three that agree. */
export function fitRobust(
  from: readonly Point[],
  to: readonly Point[],
  limit: number,
  maxRounds = 200,
): RobustFit | null {
  const n = Math.min(from.length, to.length);
  if (n < 3) return null;
  const random = seededRandom(n);
  let best: boolean[] = [];
  let inliers = 0;
  let rounds = maxRounds;
  for (let round = 0; round < rounds; round++) {
    const i = Math.floor(random() * n);
    const j = (i + 1 + Math.floor(random() * (n - 1))) % n;
    const [f1, f2, g1, g2] = [from[i], from[j], to[i], to[j]];
    if (!f1 || !f2 || !g1 || !g2) continue;
    const model = fitSimilarity([f1, f2], [g1, g2]);
    if (!model || Math.abs(Math.log(scaleOf(model))) > 0.5) continue;
    const flags = agreeing(model, from, to, limit);
    const agree = count(flags);
    if (agree <= inliers) continue;
    [best, inliers] = [flags, agree];
    rounds = Math.min(maxRounds, ransacRounds(0.999, agree / n, 2));
  }
  return inliers < 3 ? null : refine(from, to, best, limit);
}

function refine(
  from: readonly Point[],
  to: readonly Point[],
  start: readonly boolean[],
  limit: number,
): RobustFit | null {
  let inlier = start;
  let similarity: Similarity | null = null;
  for (let round = 0; round < 3; round++) {
    const next = fitSimilarity(
      from,
      to,
      inlier.map((flag) => (flag ? 1 : 0)),
    );
    if (!next) break;
    similarity = next;
    inlier = agreeing(next, from, to, limit);
  }
  return similarity && count(inlier) >= 3 ? { similarity, inlier, inliers: count(inlier) } : null;
}
