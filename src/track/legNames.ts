import type { Side } from '../points.ts';
import type { Look } from './legTracker.ts';

/** What is known of which leg is which before their ways are looked at: the network's names, and where the near hoof stands. */

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
/** What it costs, per second, to take a level's names to be exchanged. */
export function nameCost(frame: JudgedFrame, k: number): number {
  const [left, right] = [frame.seen[k], frame.seen[LEVELS + k]];
  if (!left || !right || frame.doubted) return NAME_COST_PER_S / 2;
  const apart = Math.min(1, Math.hypot(left.x - right.x, left.y - right.y) / APART);
  return (NAME_COST_PER_S + APART_COST_PER_S * apart * apart * Math.min(left.score, right.score)) / 2;
}

/** What it costs, per second, to take the lower hoof for the far one; negative for the near one. */
export function nearCost(frame: PairFrame, swapped: boolean): number {
  const [left, right] = [frame.seen[LEVELS - 1], frame.seen[2 * LEVELS - 1]];
  if (!left || !right || frame.nearSide === null) return 0;
  const apart = left.y - right.y - frame.slope * (left.x - right.x);
  const lower = Math.max(-MOST_LOWER, Math.min(MOST_LOWER, apart));
  return ((frame.nearSide === 'left') === swapped ? 1 : -1) * lower * NEAR_COST_PER_S;
}

/** What it costs, per second, to take the network's names of fetlocks and hooves to be exchanged, or to be right. */
export const namingCost = (frame: JudgedFrame, swapped: boolean): number =>
  nearCost(frame, swapped) + (swapped ? nameCost(frame, 2) : 0);
