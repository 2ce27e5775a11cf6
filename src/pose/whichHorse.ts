/** Which of the horses that the detector sees is the one to follow. */
import type { Box } from '../clip/types.ts';
import { area, best, centreOf, overlap } from './boxes.ts';
import type { FoundBox } from './find.ts';
import { type Candidate, type FollowState, GOOD } from './followState.ts';
import { boxOfSquare } from './squarePath.ts';

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

/** The horse to turn to, or null to stay with what is followed. */
export function choice(state: FollowState, candidates: readonly Candidate[], timeS: number): Box | null {
  if (state.pick) {
    const pick = state.pick;
    const picked = best(candidates, (c) => overlap(c.box, pick));
    return picked && overlap(picked.box, pick) > 0.2 ? picked.box : pick;
  }
  const here = state.square ? boxOfSquare(state.square) : null;
  if (here && state.quality >= GOOD) {
    if (state.picked || !standsStill(state, timeS)) return null;
    const own = best(candidates, (c) => overlap(c.box, here));
    const walking = candidates.filter((c) => c !== own && travel(c) > 0.6 && area(c.box) > 0.3 * area(here));
    return best(walking, (c) => area(c.box))?.box ?? null;
  }
  const near = here ? candidates.filter((c) => overlap(c.box, here) > 0.2) : [];
  return best(near.length > 0 ? near : candidates, (c) => area(c.box))?.box ?? null;
}
