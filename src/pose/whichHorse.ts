/** Which of the horses that the detector sees is the one to follow. */
import type { Box } from '../clip/types.ts';
import { area, best, centreOf, overlap } from './boxes.ts';
import type { FoundBox } from './find.ts';
import { type Candidate, type FollowState, GOOD, POOR } from './followState.ts';
import { boxOfSquare, canBe, expectedSquare, squareOfBox } from './squarePath.ts';

/** The horses seen at timeS, each with where it was first seen. */
export function updatedCandidates(
  state: FollowState,
  horses: readonly FoundBox[],
  timeS: number,
): Candidate[] {
  const kept = state.candidates.filter((c) => timeS - c.lastS < 3);
  return horses.map(({ box }) => {
    const before = best(kept, (c) => overlap(c.box, box));
    const same = before && overlap(before.box, box) > 0.1 ? before : null;
    return { box, from: same?.from ?? centreOf(box), sinceS: same?.sinceS ?? timeS, lastS: timeS };
  });
}

/** Way gone since first seen, in widths of the box. */
function travel(c: Candidate): number {
  const centre = centreOf(c.box);
  return Math.hypot(centre.x - c.from.x, centre.y - c.from.y) / Math.max(1, c.box[2] - c.box[0]);
}

/** True where the followed horse has been looked at for two seconds and its hooves kept their places under it. */
function standsStill(state: FollowState, timeS: number): boolean {
  if (state.followedSinceS === null || timeS - state.followedSinceS < 2) return false;
  const spreads = Object.values(state.limbs).map((s) => Math.sqrt(s.variance));
  // A walking hoof swings through about a third of the square: 0.1 and more.
  return spreads.length > 0 && spreads.every((s) => s < 0.04);
}

/** Where to turn to, and whether that is the horse seen last. */
export interface Choice {
  readonly box: Box;
  readonly own: boolean;
}

/** The largest horse that walks, where the one that is followed just stands there. */
function walkingInstead(here: Box, candidates: readonly Candidate[]): Box | null {
  const own = best(candidates, (c) => overlap(c.box, here));
  const walking = candidates.filter((c) => c !== own && travel(c) > 0.6 && area(c.box) > 0.3 * area(here));
  return best(walking, (c) => area(c.box))?.box ?? null;
}

/** The candidate that can be the horse seen last, the nearest to its expected place. */
function seenLast({ lastSeen }: FollowState, candidates: readonly Candidate[], timeS: number): Box | null {
  if (!lastSeen) return null;
  const expected = boxOfSquare(expectedSquare(lastSeen, timeS));
  const own = candidates.filter((c) => canBe(lastSeen, squareOfBox(c.box), timeS));
  return best(own, (c) => overlap(c.box, expected))?.box ?? null;
}

/** Whether the square may yet hold its horse: it is out of sight for a moment, or something is there. */
const mayBeHere = (state: FollowState, here: Box, candidates: readonly Candidate[]): boolean =>
  !state.another && (state.quality < POOR || candidates.some((c) => overlap(c.box, here) > 0.2));

/** The horse to turn to, or null to stay with what is followed, or with nothing. */
export function choice(state: FollowState, candidates: readonly Candidate[], timeS: number): Choice | null {
  const { pick, picked, square } = state;
  if (pick) {
    const box = best(candidates, (c) => overlap(c.box, pick))?.box;
    return { box: box && overlap(box, pick) > 0.2 ? box : pick, own: true };
  }
  const here = square && boxOfSquare(square);
  if (here && state.quality >= GOOD) {
    const walker = !picked && standsStill(state, timeS) ? walkingInstead(here, candidates) : null;
    return walker && { box: walker, own: false };
  }
  const own = seenLast(state, candidates, timeS);
  if (own) return { box: own, own: true };
  if (picked || (here && mayBeHere(state, here, candidates))) return null;
  const largest = best(candidates, (c) => area(c.box));
  return largest ? { box: largest.box, own: false } : null;
}
