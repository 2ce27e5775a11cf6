/**
 * Follows one horse through a clip. Pure: what was seen goes in, the next state comes out; plain data, so a state
 * can be sent to a worker and back.
 *
 * The detector looks only now and then; in between the square follows the horse's own points. The largest horse
 * wins, unless it just stands there while another one walks; a horse picked by the user is kept.
 *
 * A horse that was lost is known again by its place: near where it should be by now, of like size. Any other one is
 * another horse and gets a number of its own; where the user has picked one, no other is followed.
 */
import type { Box } from '../clip/types.ts';
import { HOOF, LIMBS } from '../points.ts';
import { centreOf } from './boxes.ts';
import type { Square } from './crop.ts';
import type { FoundBox } from './find.ts';
import { type FollowState, GOOD, nothingFollowed, POOR } from './followState.ts';
import {
  canBe,
  CONFIDENT,
  movedSquare,
  type PictureSize,
  share,
  squareOfBox,
  squareOfPoints,
} from './squarePath.ts';
import type { HorsePose } from './types.ts';
import { choice, updatedCandidates } from './whichHorse.ts';

const DETECT_EVERY_S = 1;
const DETECT_AGAIN_S = 0.2;
const LOST_AFTER_S = 0.5;
const LONGEST_GAP_S = 0.5;

/** Time constant of the way that the horse faces, s, and how sure it must be before the picture is turned round. */
const FACING_S = 0.15;
const FACING_SURE = 0.5;

/** The user picks the horse in this box, picture px. */
export const pickHorse = (state: FollowState, box: Box): FollowState => ({
  ...state,
  pick: box,
  picked: true,
});

/** Whether the detector should look at this frame. */
export function wantsDetection(state: FollowState, timeS: number): boolean {
  if (state.detectedS === null || state.timeS === null || state.pick) return true;
  if (timeS < state.timeS || timeS - state.timeS > LONGEST_GAP_S) return true;
  const waitS = state.square && state.quality >= GOOD ? DETECT_EVERY_S : DETECT_AGAIN_S;
  // Frame times are not whole: half a millisecond early is on time.
  return timeS - state.detectedS >= waitS - 5e-4;
}

/** State before this frame: a clip that jumps starts anew; the user's choice stays, and what tells the horse again. */
export function atTime(state: FollowState, timeS: number): FollowState {
  if (state.timeS === null) return state;
  const gapS = timeS - state.timeS;
  if (gapS >= 0 && gapS <= LONGEST_GAP_S) return state;
  const { pick, picked, identity, lastSeen } = state;
  return { ...nothingFollowed, pick, picked, identity, lastSeen };
}

/** Mean score of the twelve best points: a side view shows about that many well. */
export function qualityOf(pose: HorsePose | null): number {
  if (!pose) return 0;
  const scores = Object.values(pose.points)
    .map((p) => p.score)
    .sort((a, b) => b - a)
    .slice(0, 12);
  return scores.reduce((sum, s) => sum + s, 0) / 12;
}

/** What the detector saw at timeS. */
export function afterDetection(
  before: FollowState,
  found: { readonly horses: readonly FoundBox[]; readonly people: readonly FoundBox[] },
  timeS: number,
): FollowState {
  const candidates = updatedCandidates(before, found.horses, timeS);
  const state = {
    ...before,
    candidates,
    detectedS: timeS,
    pick: null,
    people: found.people.map((p) => p.box),
    peopleFrom: null,
  };
  const chosen = choice(before, candidates, timeS);
  if (!chosen) return state;
  const square = squareOfBox(chosen.box);
  const speed = { x: 0, y: 0 };
  // A picked horse is known by the place where it was picked, even if its points are not found there at once.
  const { pick } = before;
  const asPicked = pick && {
    identity: before.identity + 1,
    lastSeen: { timeS, square: squareOfBox(pick), speed },
  };
  return {
    ...state,
    ...asPicked,
    square,
    speed,
    fresh: true,
    another: !chosen.own,
    facing: 0,
    mirrored: false,
    quality: 0,
    goodS: timeS,
    followedSinceS: timeS,
    limbs: {},
  };
}

function updatedLimbs(
  state: FollowState,
  pose: HorsePose,
  sidePx: number,
  dtS: number,
): FollowState['limbs'] {
  const trunk = pose.points.withers;
  const limbs = { ...state.limbs };
  if (!trunk || trunk.score < CONFIDENT) return limbs;
  for (const limb of LIMBS) {
    const hoof = pose.points[HOOF[limb]];
    if (!hoof || hoof.score < CONFIDENT) continue;
    const place = (hoof.x - trunk.x) / sidePx;
    const old = limbs[limb];
    if (!old) limbs[limb] = { mean: place, variance: 0 };
    else {
      const gain = share(dtS, 1);
      const off = place - old.mean;
      limbs[limb] = { mean: old.mean + gain * off, variance: (1 - gain) * (old.variance + gain * off * off) };
    }
  }
  return limbs;
}

const ways: Readonly<Record<string, number>> = { left: -1, right: 1 };

/** Which way the horse faces, with patience: single wrong views don't turn the picture round. */
function facingNow(
  state: FollowState,
  pose: HorsePose,
  dtS: number,
): Pick<FollowState, 'facing' | 'mirrored'> {
  const way = ways[pose.view] ?? 0;
  const facing = state.fresh ? way : state.facing + (way - state.facing) * share(dtS, FACING_S);
  const sure = Math.abs(facing) > FACING_SURE;
  return { facing, mirrored: sure ? facing > 0 : state.mirrored };
}

/** The followed horse was not in the square: that waits a while for it, then is given up. */
function afterNoHorse(state: FollowState, timeS: number, quality: number): FollowState {
  const lost = state.goodS === null || timeS - state.goodS > LOST_AFTER_S;
  const square = lost ? null : state.square;
  return { ...state, timeS, quality, square, fresh: false, speed: { x: 0, y: 0 } };
}

/** What the network saw in the square at timeS. The horse counts as seen where `horse` of the result is not null. */
export function afterPose(
  state: FollowState,
  pose: HorsePose,
  timeS: number,
  size: PictureSize,
): { readonly state: FollowState; readonly horse: HorsePose | null } {
  const dtS = state.timeS === null ? 0 : Math.max(0, timeS - state.timeS);
  const quality = qualityOf(pose);
  const target = squareOfPoints(pose);
  if (!target || quality < POOR) return { state: afterNoHorse(state, timeS, quality), horse: null };
  const outOfSight = state.lastSeen !== null && !state.another && state.quality < POOR;
  if (outOfSight && !canBe(state.lastSeen, target, timeS))
    return { state: afterNoHorse(state, timeS, 0), horse: null };
  const moved = state.fresh
    ? { square: target, speed: { x: 0, y: 0 } }
    : movedSquare(state, target, dtS, size);
  const limbs = updatedLimbs(state, pose, moved.square?.sidePx ?? target.sidePx, dtS);
  const peopleFrom = state.peopleFrom ?? moved.square;
  const way = facingNow(state, pose, dtS);
  const who = {
    identity: state.identity + (state.another ? 1 : 0),
    another: false,
    lastSeen: { timeS, square: moved.square ?? target, speed: moved.speed },
  };
  const seen = { timeS, quality, goodS: timeS, fresh: false, limbs, peopleFrom, ...way, ...who };
  return { state: { ...state, ...moved, ...seen }, horse: pose };
}

/** A frame on which there was nothing to look at. */
export const afterNothing = (state: FollowState, timeS: number): FollowState => ({
  ...state,
  timeS,
  quality: 0,
});

/** Where to look at timeS: the square moved on by its own speed. */
export function squareAt(state: FollowState, timeS: number): Square | null {
  if (!state.square || state.timeS === null) return state.square;
  const dtS = Math.min(LONGEST_GAP_S, Math.max(0, timeS - state.timeS));
  return {
    ...state.square,
    x: state.square.x + state.speed.x * dtS,
    y: state.square.y + state.speed.y * dtS,
  };
}

/** The people about now: those near the horse go with it until the detector looks again. */
export function peopleNow(state: FollowState): Box[] {
  const { square, peopleFrom: from } = state;
  if (!square || !from) return [...state.people];
  const dx = square.x - from.x;
  const dy = square.y - from.y;
  const reach = 0.75 * from.sidePx;
  return state.people.map((p) => {
    const { x, y } = centreOf(p);
    const near = Math.abs(x - from.x) < reach && Math.abs(y - from.y) < reach;
    return near ? [p[0] + dx, p[1] + dy, p[2] + dx, p[3] + dy] : p;
  });
}
