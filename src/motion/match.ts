import { fitRobust, IDENTITY, type Point, scaleOf } from '../track/similarity.ts';
import { matrixOf, throughLens, toStillFrame } from '../track/turning.ts';
import type { Lens, Similarity } from '../track/types.ts';
import type { Feature } from './features.ts';
import { fitTurn, type Prior, type Seen, type TurnFit } from './turnFit.ts';

/** A feature agrees with the motion when it lies this near, px of the small picture. */
const AGREE_PX = 0.8;
/** Fewer features than this in agreement are no ground to stand on. */
export const FEWEST = 8;
/** SD of a feature's place that fits are weighed with, small px. */
const NOISE_PX = 0.2;

/** One turn for each of LANES, small px. */
export type Lanes = readonly Similarity[];

/** Row of the ground under the hooves and height of the horse, small px. */
export interface Ground {
  readonly row: number;
  readonly height: number;
}

export interface Pair {
  readonly feature: Feature;
  readonly at: Point;
}

export interface Match {
  /** The frame to the reference. */
  readonly toReference: Lanes;
  readonly inliers: number;
  readonly followed: number;
  /** SD of the translation, small px. */
  readonly sdPx: number;
  /** What the match says of the focal length: (long side / f)^2. */
  readonly bend: Prior;
}

/** Fits the band of ground first, then all that agrees with it, the nearer to the hooves' row the heavier. */
export function matchTurn(
  pairs: readonly Pair[],
  ground: Ground | null,
  lens: Lens,
  lanes: readonly Lens[],
): Match | null {
  const band = pairs.filter(({ feature }) => feature.band);
  const ofBand = band.length >= 2 * FEWEST ? robustTurn(band, ground, lens) : null;
  const enough = ofBand && agreeing(ofBand, band).length >= Math.max(FEWEST, 0.4 * band.length);
  const robust = enough ? ofBand : robustTurn(pairs, ground, lens);
  const agree = robust ? agreeing(robust, pairs) : [];
  if (!robust || agree.length < FEWEST) return null;
  const seen = agree.map((pair) => ({ ...seenOf(pair), weight: weightAt(pair.at, ground) }));
  const best = turnOf(seen, robust.turn, ground, lens);
  if (!best || Math.abs(Math.log(scaleOf(best.turn))) > 0.7) return null;
  const spreadPx = spread(best, agree);
  const toReference = lanes.flatMap((lane) => turnOf(seen, best.turn, ground, lane, best.slide)?.turn ?? []);
  if (toReference.length < lanes.length) return null;
  const unit = (2 * Math.max(lens.centre.x, lens.centre.y) + 1) ** 2;
  const noise = Math.max(1, spreadPx / NOISE_PX);
  return {
    toReference,
    inliers: agree.length,
    followed: pairs.length,
    sdPx: spreadPx / Math.sqrt(agree.length),
    bend: { value: best.told.value * unit, sd: best.told.sd * unit * noise },
  };
}

function turnOf(
  seen: readonly Seen[],
  start: Similarity,
  ground: Ground | null,
  lens: Lens,
  slide?: number,
): TurnFit | null {
  const prior = slide === undefined ? { value: lens.kappa, sd: lens.kappaSd } : null;
  return fitTurn({
    seen,
    start,
    lens,
    row: ground?.row ?? null,
    prior,
    slide: slide ?? 0,
    noisePx: NOISE_PX,
  });
}

/** What most pairs agree with: as a shift on the cylinder first, then exactly. */
function robustTurn(pairs: readonly Pair[], ground: Ground | null, lens: Lens): TurnFit | null {
  const round = (p: Point): Point => toStillFrame(lens, IDENTITY, p);
  const rough = fitRobust(
    pairs.map(({ at }) => round(at)),
    pairs.map(({ feature }) => round(feature)),
    AGREE_PX,
  );
  if (!rough) return null;
  let seen = pairs.filter((_, i) => rough.inlier[i]).map(seenOf);
  let fit: TurnFit | null = null;
  for (let i = 0; i < 4 && seen.length >= 3; i++) {
    const next = turnOf(seen, fit?.turn ?? rough.similarity, ground, lens);
    if (!next) break;
    fit = next;
    seen = agreeing(next, pairs).map(seenOf);
  }
  return fit;
}

function weightAt(p: Point, ground: Ground | null): number {
  if (!ground) return 1;
  const away = (p.y - ground.row) / (0.3 * ground.height);
  return 1 / (1 + away * away);
}

const seenOf = ({ feature, at }: Pair): Seen => ({ from: at, to: feature, weight: 1 });

/** How far a pair lies from the motion, small px. */
function distances({ lens, turn, slide, row }: TurnFit, pairs: readonly Pair[]): number[] {
  const m = matrixOf(lens, turn);
  return pairs.map(({ feature, at }) => {
    const p = throughLens(lens, m, at);
    return Math.hypot(p.x + slide * (at.y - row) - feature.x, p.y - feature.y);
  });
}

const agreeing = (fit: TurnFit, pairs: readonly Pair[]): Pair[] => {
  const away = distances(fit, pairs);
  return pairs.filter((_, i) => (away[i] ?? Infinity) <= AGREE_PX);
};

function spread(fit: TurnFit, pairs: readonly Pair[]): number {
  const squares = distances(fit, pairs).reduce((sum, d) => sum + d * d, 0);
  return Math.sqrt(squares / 2 / Math.max(1, pairs.length - 2));
}
