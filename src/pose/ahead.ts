/** Looking at a picture before the one before it is known, so that two can be looked at at once. Pure. */
import type { Square } from './crop.ts';
import { squareAt, wantsDetection } from './follow.ts';
import { type FollowState, GOOD } from './followState.ts';
import type { HorsePose } from './types.ts';

/** Where to look. */
export interface Spot {
  readonly square: Square;
  readonly mirrored: boolean;
}

/** What was seen there. */
export interface Looked extends Spot {
  readonly pose: HorsePose;
}

/** So long after the last look the horse is still about where it is expected, s: two pictures at 30 a second. */
const AHEAD_S = 0.07;
/** Shares of the side by which a square may lie elsewhere, or be of another size, than where it was expected. */
const NEAR = 0.1;

/**
 * Where to look at the second of the next two pictures, while the first is being looked at; null where what the first
 * shows may change the answer. It hangs on the clip alone, not on who is free to look: every machine sees the same.
 */
export function spotAhead(state: FollowState, firstS: number, secondS: number): Spot | null {
  if (state.timeS === null || secondS - state.timeS > AHEAD_S) return null;
  if (state.fresh || state.quality < GOOD) return null;
  if (wantsDetection(state, firstS) || wantsDetection(state, secondS)) return null;
  const square = squareAt(state, secondS);
  return square && { square, mirrored: state.mirrored };
}

/** Whether what was seen ahead counts, now that the picture before is known and the horse is expected in `square`. */
export function counts(looked: Looked, { fresh, mirrored }: FollowState, square: Square): boolean {
  const off = Math.hypot(looked.square.x - square.x, looked.square.y - square.y) / square.sidePx;
  const larger = Math.abs(looked.square.sidePx / square.sidePx - 1);
  return !fresh && looked.mirrored === mirrored && off < NEAR && larger < NEAR;
}
