/** Two stands of one horse side by side. */
import type { Side } from '../points.ts';
import type { Similarity } from '../track/types.ts';
import type { Ground } from './places.ts';
import type { StandReason } from './reasons.ts';
import type { Stand, StandMeasure, StandMeasures } from './types.ts';

/**
 * Later less earlier; its interval by the root of the sum of squares. Errors that both share, as those of one network on one
 * horse, would cancel in part: the interval is rather too wide.
 */
export function difference(earlier: StandMeasure, later: StandMeasure): StandMeasure {
  if ('reason' in earlier) return earlier;
  if ('reason' in later) return later;
  const value = later.value - earlier.value;
  return {
    value,
    low: value - Math.hypot(later.value - later.low, earlier.high - earlier.value),
    high: value + Math.hypot(later.high - later.value, earlier.value - earlier.low),
    notes: later.notes,
  };
}

const isMeasure = (one: object): one is StandMeasure => 'value' in one || 'reason' in one;

/** Measure by measure, of two records of one shape. */
function differences<T extends object>(earlier: T, later: T): T {
  const entries = Object.entries(earlier).map(([key, one]: [string, object]) => {
    const other = (later as Readonly<Record<string, object>>)[key] ?? one;
    return [key, isMeasure(one) && isMeasure(other) ? difference(one, other) : differences(one, other)];
  });
  return Object.fromEntries(entries) as T;
}

/** Every measure: later less earlier, in its own unit, or the first reason why not. */
export interface StandChange {
  readonly measures: StandMeasures;
  readonly inWithersHeights: Stand['inWithersHeights'];
}

export const compareStands = (earlier: Stand, later: Stand): StandChange => ({
  measures: differences(earlier.measures, later.measures),
  inWithersHeights: differences(earlier.inWithersHeights, later.inWithersHeights),
});

/** Where both pictures put the horse: height at the withers, and the ground below the withers. */
export interface Common {
  readonly heightPx: number;
  readonly footXPx: number;
  readonly footYPx: number;
}

/** To one scale and a level ground line, px of the picture to px of the common one. */
function toCommon({ heightPx, foot, slope }: Ground, nearSide: Side, common: Common): Similarity {
  const scale = common.heightPx / heightPx;
  // Down in front is clockwise in the picture of a horse that faces right.
  const turn = (nearSide === 'right' ? -1 : 1) * Math.atan(slope);
  const [a, b] = [scale * Math.cos(turn), scale * Math.sin(turn)];
  return {
    ...{ a, b },
    tx: common.footXPx - (a * foot.x - b * foot.y),
    ty: common.footYPx - (b * foot.x + a * foot.y),
  };
}

/**
 * The maps that lay two pictures over each other: withers over withers, one height at the withers, one level ground line.
 * To show that a horse has grown, give `later` a Common with its height times that share. A reason where one has no scale, or
 * they show different sides; nothing is ever mirrored.
 */
export function overlay(
  earlier: Stand,
  later: Stand,
  common: Common | { readonly earlier: Common; readonly later: Common },
): { readonly earlier: Similarity; readonly later: Similarity } | { readonly reason: StandReason } {
  if (!earlier.ground || !later.ground) return { reason: 'scaleUnsure' };
  if (earlier.nearSide !== later.nearSide) return { reason: 'otherSide' };
  const both = 'earlier' in common ? common : { earlier: common, later: common };
  return {
    earlier: toCommon(earlier.ground, earlier.nearSide, both.earlier),
    later: toCommon(later.ground, later.nearSide, both.later),
  };
}
