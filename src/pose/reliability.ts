/**
 * What the score of a point is worth: measured on labelled horses that no training has seen, for the network that ships
 * (`npm run network -- --calibration models/horse-keypoints/reliability.json`; table in its CARD.md).
 */
import measured from '../../models/horse-keypoints/reliability.json';
import type { PointName } from '../points.ts';

/** A frame of a clip is looked at once, a single picture together with its mirror image. */
export type Way = 'once' | 'bothWays';

export const GROUPS = ['toes', 'fetlocks', 'knees', 'hocks', 'head', 'trunk'] as const;
/** Points that are seen alike well. */
export type Group = (typeof GROUPS)[number];

const ENDINGS = [
  ['_hoof', 'toes'],
  ['_fetlock', 'fetlocks'],
  ['_knee', 'knees'],
  ['_hock', 'hocks'],
] as const;
export function groupOf(name: PointName): Group {
  const limb = ENDINGS.find(([ending]) => name.endsWith(ending));
  return limb ? limb[1] : name === 'muzzle' || name === 'poll' ? 'head' : 'trunk';
}

/** p = 1 / (1 + exp(-(intercept + slope ln(s / (1 - s))))), s the score within .01 .. .99. */
export interface Logistic {
  readonly intercept: number;
  readonly slope: number;
}

/** Scores are peaks of heatmaps, 0 to 1 and a little beyond: nothing is as good as sure. */
const inside = (score: number): number => Math.min(0.99, Math.max(0.01, score));
export const logit = (p: number): number => Math.log(p / (1 - p));
export const logitOfScore = (score: number): number => logit(inside(score));

/** Probability that a point of this score lies within 2 % of H of where it is labelled: never falls as the score grows. */
export const logisticOf =
  ({ intercept, slope }: Logistic) =>
  (score: number): number =>
    1 / (1 + Math.exp(-intercept - slope * logitOfScore(score)));

/** What is known of a group of points. */
export interface GroupReliability extends Logistic {
  /** SD along each axis in % of H, of a point of score s: sigmaPercentH exp(sigmaSlope (1 - s)). */
  readonly sigmaPercentH: number;
  readonly sigmaSlope: number;
  /** Share of points that are of something else: on another leg, say. */
  readonly astray: number;
  readonly n: number;
  readonly horses: number;
  /** Scores that were seen: 2nd and 98th per cent. */
  readonly scores: readonly number[];
}

interface Reliability {
  /** Version of the network that it was measured on. */
  readonly network: string;
  readonly ways: Readonly<Record<Way, Readonly<Record<Group, GroupReliability>>>>;
}
const RELIABILITY: Reliability = measured;

/**
 * Probability that a point of this score lies within 2 % of the height at the withers of where it is; 0 for one not seen.
 * None is surer than the surest scores that were seen.
 */
export function probability(name: PointName, score: number, way: Way): number {
  if (score <= 0) return 0;
  const group = RELIABILITY.ways[way][groupOf(name)];
  return logisticOf(group)(Math.min(group.scores[1] ?? 1, score));
}
