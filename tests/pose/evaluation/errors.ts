/**
 * How far points are seen from where they are labelled, in % of the height at the withers H, and the figures made of
 * it: one function each for the table, for its tests and for the calibration.
 */
import {
  FETLOCK,
  HOOF,
  KNEE_OR_HOCK,
  LIMBS,
  mirrorName,
  type Limb,
  type PointName,
} from '../../../src/points.ts';
import { seededRandom } from '../../../src/gait/random.ts';
import { quantile } from '../../accuracy/figures.ts';

/** Picture px, pixel centres at whole numbers; 2 seen, 1 hidden but inferred, 0 outside the picture. */
export type Label = readonly [x: number, y: number, seen: number];
export type Labels = Readonly<Partial<Record<PointName, Label>>>;
export type Found = Readonly<
  Partial<Record<PointName, { readonly x: number; readonly y: number; readonly score: number }>>
>;

/** From the labelled withers down to the lowest labelled hoof, px; null where either is missing. */
export function heightPx(labels: Labels): number | null {
  const hooves = LIMBS.flatMap((limb) => labels[HOOF[limb]]?.[1] ?? []);
  const withers = labels.withers?.[1];
  if (withers === undefined || hooves.length === 0) return null;
  const height = Math.max(...hooves) - withers;
  return height > 0 ? height : null;
}

export interface PointError {
  readonly name: PointName;
  /** Pictures of one horse are no independent witnesses. */
  readonly horse: string;
  /** A point that was not found counts as a whole height off. */
  readonly percentH: number;
  readonly score: number;
  /** Labelled as seen, not inferred. */
  readonly seen: boolean;
}

const NOT_FOUND_PERCENT_H = 100;

/** Errors of the points that are labelled within the picture. */
export function pointErrors(labels: Labels, found: Found, tallPx: number, horse: string): PointError[] {
  return (Object.entries(labels) as [PointName, Label][]).flatMap(([name, [x, y, seen]]) => {
    if (seen === 0) return [];
    const at = found[name];
    const percentH = at ? (100 * Math.hypot(at.x - x, at.y - y)) / tallPx : NOT_FOUND_PERCENT_H;
    return [{ name, horse, percentH, score: at?.score ?? 0, seen: seen === 2 }];
  });
}

/** Legs nearer to each other than this, mean over their points, can't be told apart by a label, % H. */
const APART_PERCENT_H = 6;
const PAIRS: readonly (readonly [Limb, Limb])[] = [
  ['LF', 'RF'],
  ['LH', 'RH'],
];

/**
 * Whether the names of left and right of a pair of legs are exchanged: the points found lie nearer to the other leg's
 * labels, summed over the points for which both labels and both points are there. Null where the legs are not apart,
 * or fewer than two such points are there.
 */
export function pairExchanged(
  labels: Labels,
  found: Found,
  tallPx: number,
  pair: readonly [Limb, Limb],
): boolean | null {
  const sums = { own: 0, other: 0, apart: 0, points: 0 };
  for (const names of [KNEE_OR_HOCK, FETLOCK, HOOF]) {
    const [left, right] = [labels[names[pair[0]]], labels[names[pair[1]]]];
    const [seenLeft, seenRight] = [found[names[pair[0]]], found[names[pair[1]]]];
    if (!left?.[2] || !right?.[2] || !seenLeft || !seenRight) continue;
    const off = (p: { x: number; y: number }, l: Label): number => Math.hypot(p.x - l[0], p.y - l[1]);
    sums.own += off(seenLeft, left) + off(seenRight, right);
    sums.other += off(seenLeft, right) + off(seenRight, left);
    sums.apart += Math.hypot(left[0] - right[0], left[1] - right[1]);
    sums.points += 1;
  }
  if (sums.points < 2 || (100 * sums.apart) / sums.points < APART_PERCENT_H * tallPx) return null;
  return sums.other < sums.own;
}

/** Whether either pair of legs has its names exchanged; null where neither pair can be told apart. */
export function exchanged(labels: Labels, found: Found, tallPx: number): boolean | null {
  const pairs = PAIRS.map((pair) => pairExchanged(labels, found, tallPx, pair)).filter((e) => e !== null);
  return pairs.length === 0 ? null : pairs.includes(true);
}

/** A point lies on the other limb where it is so much nearer to that one's label than to its own. */
const MUCH_NEARER = 0.5;

/**
 * Whether a point of a limb was found on its fellow: also where both were found there, so that no names are exchanged.
 * Null where a label or the point is missing, or the limbs are not apart there.
 */
export function onOtherLimb(labels: Labels, found: Found, tallPx: number, name: PointName): boolean | null {
  const [own, other, at] = [labels[name], labels[mirrorName(name)], found[name]];
  if (!own?.[2] || !other?.[2] || !at) return null;
  if (100 * Math.hypot(own[0] - other[0], own[1] - other[1]) < APART_PERCENT_H * tallPx) return null;
  const off = (l: Label): number => Math.hypot(at.x - l[0], at.y - l[1]);
  return off(other) < MUCH_NEARER * off(own);
}

/** What one figure is made of: a number, and the horse that it is of. */
export interface Sample {
  readonly value: number;
  readonly horse: string;
}
export const share = (list: readonly number[]): number => list.reduce((sum, x) => sum + x, 0) / list.length;
export const median = (list: readonly number[]): number => quantile(list, 0.5);

export interface Figure {
  readonly value: number;
  /** 95 % interval over horses; null where one horse tells nothing of others. */
  readonly low: number | null;
  readonly high: number | null;
  readonly n: number;
  readonly horses: number;
}

const DRAWS = 1000;
/** Of the standard normal distribution, 97.5 %. */
const Z = 1.96;

export function byHorse<T extends { readonly horse: string }>(list: readonly T[]): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const one of list) {
    const own = groups.get(one.horse);
    if (own) own.push(one);
    else groups.set(one.horse, [one]);
  }
  return groups;
}

/** 95 % of what a statistic gives of horses drawn with replacement, each with all it has (Efron & Tibshirani 1993). */
function intervalOverHorses(
  samples: readonly Sample[],
  statistic: (list: readonly number[]) => number,
): readonly [number, number] | null {
  const own = [...byHorse(samples).values()].map((list) => list.map(({ value }) => value));
  if (own.length < 2) return null;
  const random = seededRandom(own.length);
  const draw = (): number[] => own.flatMap(() => own[Math.floor(random() * own.length)] ?? []);
  const drawn = Array.from({ length: DRAWS }, () => statistic(draw()));
  return [quantile(drawn, 0.025), quantile(drawn, 0.975)];
}

/** Of a share p of n independent tries (Wilson 1927 J Am Stat Assoc 22:209). */
export function wilson(p: number, n: number): readonly [number, number] {
  const middle = p + Z ** 2 / (2 * n);
  const half = Z * Math.sqrt((p * (1 - p)) / n + Z ** 2 / (4 * n ** 2));
  const within = (x: number): number => Math.min(1, Math.max(0, x / (1 + Z ** 2 / n)));
  return [within(middle - half), within(middle + half)];
}

const figureOf = (
  samples: readonly Sample[],
  value: number,
  interval: readonly [number, number] | null,
): Figure => ({
  ...{ value, low: interval?.[0] ?? null, high: interval?.[1] ?? null },
  ...{ n: samples.length, horses: byHorse(samples).size },
});

/** The median, in the unit of the samples; null where there are none. */
export function medianFigure(samples: readonly Sample[]): Figure | null {
  if (samples.length === 0) return null;
  return figureOf(samples, median(samples.map(({ value }) => value)), intervalOverHorses(samples, median));
}

/**
 * Per cent of the samples for which it holds; null where there are none. The interval is that over horses, but never
 * narrower than that of independent tries: ten out of ten is no certainty.
 */
export function shareFigure(samples: readonly Sample[], holds: (value: number) => boolean): Figure | null {
  if (samples.length === 0) return null;
  const asked = samples.map(({ value, horse }) => ({ value: Number(holds(value)), horse }));
  const p = share(asked.map(({ value }) => value));
  const [least, most] = wilson(p, samples.length);
  const [low, high] = intervalOverHorses(asked, share) ?? [null, null];
  const interval: [number, number] | null =
    low === null ? null : [100 * Math.min(low, least), 100 * Math.max(high, most)];
  return figureOf(samples, 100 * p, interval);
}
