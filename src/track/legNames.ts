import type { Side } from '../points.ts';
import type { Look } from './legTracker.ts';
import type { Facing } from './side.ts';

/** What is known of which leg is which before their ways are looked at: the network's names, and where the hooves stand. */

/** Knee or hock, fetlock, hoof. */
export const LEVELS = 3;
/** Per frame: looks of the named-left leg, then of the named-right one, by level. */
export type PairLooks = readonly (Look | null)[];

export interface PairFrame {
  readonly timeS: number;
  readonly seen: PairLooks;
  /** Points put right by hand, in the same order: these are never swapped. */
  readonly set: PairLooks;
  /** The side of the horse that the camera sees, null where that is not known. */
  readonly nearSide: Side | null;
  /** Which way it faces where it is seen from behind or from the front. */
  readonly facing: Facing | null;
  /** How the ground slopes in the picture along the path, down per right. */
  readonly slope: number;
}

/** A hand that says of one look that its name is wrong says it of those around, s. */
const DOUBT_S = 1;

export interface JudgedFrame extends PairFrame {
  /** A point put right by hand says that the names about here are exchanged. */
  readonly doubted: boolean;
}

/** Marks the frames about which a hand says that their names are exchanged. */
export function judged(frames: readonly PairFrame[]): JudgedFrame[] {
  const wrongS = frames.filter((f) => f.set.some((set, i) => set && isOthers(f, set, i))).map((f) => f.timeS);
  return frames.map((f) => ({ ...f, doubted: wrongS.some((s) => Math.abs(s - f.timeS) < DOUBT_S) }));
}

/** The other leg's look is the nearer one. */
function isOthers({ seen }: PairFrame, set: Look, point: number): boolean {
  const [own, other] = [seen[point], seen[(point + LEVELS) % (2 * LEVELS)]];
  const away = (look: Look | null | undefined): number =>
    look ? Math.hypot(look.x - set.x, look.y - set.y) : Infinity;
  return away(other) < away(own);
}

/** For each true point (left leg, then right), which look it takes: an index of `seen`, or -1. */
export type Assignment = readonly number[];

/**
 * Evidence per second that the network's names are right. Where both legs are seen at one place they say little (about
 * one swap in four looks, renewed each .3 s); where they stand apart, much: on drawn walks 1 % of those are wrong.
 */
const NAME_COST_PER_S = 3.5;
const APART_COST_PER_S = 30;
const APART = 0.3;
/**
 * The near hoof stands lower in the picture than the far one, by some .03 H on average over a pass, as the camera is
 * above the ground. Evidence per second and per H, for as much of that difference as is not a lifted hoof.
 */
const NEAR_COST_PER_S = 30;
const MOST_LOWER = 0.1;

/**
 * From behind the left hoof is on the left, from the front on the right, by some .1 H on average: but hooves swing, and
 * horses plait and turn. Evidence per second and per H, for as much as is no leg put forward by a horse that goes askew.
 */
const ASIDE_COST_PER_S = 200;
const MOST_ASIDE = 0.1;

/** What it costs, per second, to take a level's names to be exchanged. */
export function nameCost(frame: JudgedFrame, k: number): number {
  const [left, right] = [frame.seen[k], frame.seen[LEVELS + k]];
  if (!left || !right || frame.doubted) return NAME_COST_PER_S / 2;
  const apart = Math.min(1, Math.hypot(left.x - right.x, left.y - right.y) / APART);
  return (NAME_COST_PER_S + APART_COST_PER_S * apart * apart * Math.min(left.score, right.score)) / 2;
}

const within = (most: number, value: number): number => Math.max(-most, Math.min(most, value));

/**
 * What it costs, per second, to take the names of the hooves so, by where they are: from the side the near one is the
 * lower one, from behind the left one is on the left. Negative where they are so.
 */
export function placeCost(frame: PairFrame, swapped: boolean): number {
  const { nearSide, facing, slope } = frame;
  const [left, right] = [frame.seen[LEVELS - 1], frame.seen[2 * LEVELS - 1]];
  if (!left || !right || (nearSide === null && facing === null)) return 0;
  const way = swapped ? 1 : -1;
  if (nearSide === null)
    return way * (facing === 'away' ? -1 : 1) * within(MOST_ASIDE, left.x - right.x) * ASIDE_COST_PER_S;
  const lower = left.y - right.y - slope * (left.x - right.x);
  return way * (nearSide === 'left' ? 1 : -1) * within(MOST_LOWER, lower) * NEAR_COST_PER_S;
}

/** What it costs, per second, to take the network's names of fetlocks and hooves to be exchanged, or to be right. */
export const namingCost = (frame: JudgedFrame, swapped: boolean): number =>
  placeCost(frame, swapped) + (swapped ? nameCost(frame, 2) : 0);
