/**
 * Follows one horse through a clip. Pure: what was seen goes in, the next state comes out; plain data, so a state
 * can be sent to a worker and back.
 *
 * The detector looks only now and then; in between the square follows the horse's own points. The largest horse
 * wins, unless it just stands there while another one walks; a horse picked by the user is kept.
 */
import type { Box } from '../clip/types.ts';
import { HOOF, LIMBS, type Limb } from '../points.ts';
import { area, best, boxOfPoints, centreOf, overlap } from './boxes.ts';
import { squareAround, type Square } from './crop.ts';
import type { FoundBox } from './find.ts';
import type { HorsePose } from './types.ts';

/** Side of the square as a multiple of the longer side of the box: as in training. */
const POINTS_MARGIN = 1.25;
/** The detector's box holds the tail and is 1.14 times the points' extent in the median. */
const DETECTOR_MARGIN = 1.1;

const DETECT_EVERY_S = 1;
const DETECT_AGAIN_S = 0.2;
/** Mean score of the best points: above, the points are trusted; below, there is no horse in the square. */
const GOOD = 0.5;
const POOR = 0.3;
const LOST_AFTER_S = 0.5;
const LONGEST_GAP_S = 0.5;
const CONFIDENT = 0.3;

/** Time constants of the square's smoothing, s. */
const CENTRE_S = 0.05;
const SIDE_S = 0.25;
const SPEED_S = 0.2;
/** Time constant of the way that the horse faces, s, and how sure it must be before the picture is turned round. */
const FACING_S = 0.15;
const FACING_SURE = 0.5;
/** Farthest that the centre is moved against what was expected in one frame, share of the side. */
const MOST_STEP = 0.2;

/** A horse that the detector has seen more than once. */
export interface Candidate {
  readonly box: Box;
  /** Where and when it was first seen. */
  readonly from: { readonly x: number; readonly y: number };
  readonly sinceS: number;
  readonly lastS: number;
}

/** Running mean and variance of a hoof's place along the horse, shares of the square's side. */
interface Spread {
  readonly mean: number;
  readonly variance: number;
}

export interface FollowState {
  readonly timeS: number | null;
  readonly square: Square | null;
  /** Speed of the square's centre, px/s. */
  readonly speed: { readonly x: number; readonly y: number };
  /** True until the points of a newly found horse were seen. */
  readonly fresh: boolean;
  /** -1 where the horse has faced left of late, 1 where right, between where it turns or comes or goes. */
  readonly facing: number;
  /** True while the network is shown the mirrored picture, so that to it the horse always faces left. */
  readonly mirrored: boolean;
  readonly quality: number;
  readonly goodS: number | null;
  readonly detectedS: number | null;
  readonly followedSinceS: number | null;
  readonly limbs: Readonly<Partial<Record<Limb, Spread>>>;
  readonly candidates: readonly Candidate[];
  /** Box that the user has picked and that waits for the next detection. */
  readonly pick: Box | null;
  /** True once the user has chosen: no other horse takes over. */
  readonly picked: boolean;
  /** People as the detector saw them last, and where the horse's square was then. */
  readonly people: readonly Box[];
  readonly peopleFrom: Square | null;
}

export const nothingFollowed: FollowState = {
  timeS: null,
  square: null,
  speed: { x: 0, y: 0 },
  fresh: false,
  facing: 0,
  mirrored: false,
  quality: 0,
  goodS: null,
  detectedS: null,
  followedSinceS: null,
  limbs: {},
  candidates: [],
  pick: null,
  picked: false,
  people: [],
  peopleFrom: null,
};

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

/** State before this frame: a clip that jumps or runs backwards starts anew, the choice of the user stays. */
export function atTime(state: FollowState, timeS: number): FollowState {
  if (state.timeS === null) return state;
  const gapS = timeS - state.timeS;
  if (gapS >= 0 && gapS <= LONGEST_GAP_S) return state;
  return { ...nothingFollowed, pick: state.pick, picked: state.picked };
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

function updatedCandidates(state: FollowState, horses: readonly FoundBox[], timeS: number): Candidate[] {
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

const squareBox = (s: Square): Box => {
  const half = s.sidePx / 2 / POINTS_MARGIN;
  return [s.x - half, s.y - half, s.x + half, s.y + half];
};

/** True where the followed horse has been looked at for two seconds and its hooves kept their places under it. */
function standsStill(state: FollowState, timeS: number): boolean {
  if (state.followedSinceS === null || timeS - state.followedSinceS < 2) return false;
  const spreads = Object.values(state.limbs).map((s) => Math.sqrt(s.variance));
  // A walking hoof swings through about a third of the square: 0.1 and more.
  return spreads.length > 0 && spreads.every((s) => s < 0.04);
}

/** The horse to turn to, or null to stay with what is followed. */
function choice(state: FollowState, candidates: readonly Candidate[], timeS: number): Box | null {
  if (state.pick) {
    const pick = state.pick;
    const picked = best(candidates, (c) => overlap(c.box, pick));
    return picked && overlap(picked.box, pick) > 0.2 ? picked.box : pick;
  }
  const here = state.square ? squareBox(state.square) : null;
  if (here && state.quality >= GOOD) {
    if (state.picked || !standsStill(state, timeS)) return null;
    const own = best(candidates, (c) => overlap(c.box, here));
    const walking = candidates.filter((c) => c !== own && travel(c) > 0.6 && area(c.box) > 0.3 * area(here));
    return best(walking, (c) => area(c.box))?.box ?? null;
  }
  const near = here ? candidates.filter((c) => overlap(c.box, here) > 0.2) : [];
  return best(near.length > 0 ? near : candidates, (c) => area(c.box))?.box ?? null;
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
  return {
    ...state,
    square: squareAround(chosen, DETECTOR_MARGIN),
    speed: { x: 0, y: 0 },
    fresh: true,
    facing: 0,
    mirrored: false,
    quality: 0,
    goodS: timeS,
    followedSinceS: timeS,
    limbs: {},
  };
}

/** Square around the horse's own points; null where too few are sure. */
export function squareOfPoints(pose: HorsePose): Square | null {
  const box = boxOfPoints(pose.points, CONFIDENT);
  return box && squareAround(box, POINTS_MARGIN);
}

const share = (dtS: number, constantS: number): number => 1 - Math.exp(-dtS / constantS);
const within = (value: number, most: number): number => Math.min(most, Math.max(-most, value));

interface PictureSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

/** True where the square's horse reaches the picture's border: its extent is then cut, not smaller. */
function touchesBorder(square: Square, size: PictureSize): boolean {
  const half = square.sidePx / 2 / POINTS_MARGIN;
  const near = 0.03 * square.sidePx;
  return square.x - half < near - 0.5 || square.x + half > size.widthPx - 0.5 - near;
}

/** Moves the square towards where the points are now, along a smoothed path. */
function movedSquare(
  state: FollowState,
  target: Square,
  dtS: number,
  size: PictureSize,
): Pick<FollowState, 'square' | 'speed'> {
  const old = state.square ?? target;
  const expected = { x: old.x + state.speed.x * dtS, y: old.y + state.speed.y * dtS };
  const most = MOST_STEP * old.sidePx;
  const gain = share(dtS, CENTRE_S);
  const x = expected.x + within((target.x - expected.x) * gain, most);
  const y = expected.y + within((target.y - expected.y) * gain, most);
  const wantedSide = touchesBorder(target, size) ? Math.max(old.sidePx, target.sidePx) : target.sidePx;
  const sidePx = old.sidePx + (wantedSide - old.sidePx) * share(dtS, SIDE_S);
  const speedGain = dtS > 0 ? share(dtS, SPEED_S) : 0;
  const toSpeed = (now: number, then: number, speed: number): number =>
    dtS > 0 ? speed + ((now - then) / dtS - speed) * speedGain : speed;
  return {
    square: {
      x: Math.min(size.widthPx - 0.5, Math.max(-0.5, x)),
      y: Math.min(size.heightPx - 0.5, Math.max(-0.5, y)),
      sidePx: Math.min(2 * Math.max(size.widthPx, size.heightPx), Math.max(24, sidePx)),
    },
    speed: { x: toSpeed(x, old.x, state.speed.x), y: toSpeed(y, old.y, state.speed.y) },
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
  if (!target || quality < POOR) {
    const lost = state.goodS === null || timeS - state.goodS > LOST_AFTER_S;
    const square = lost ? null : state.square;
    return { state: { ...state, timeS, quality, square, fresh: false, speed: { x: 0, y: 0 } }, horse: null };
  }
  const moved = state.fresh
    ? { square: target, speed: { x: 0, y: 0 } }
    : movedSquare(state, target, dtS, size);
  const limbs = updatedLimbs(state, pose, moved.square?.sidePx ?? target.sidePx, dtS);
  const peopleFrom = state.peopleFrom ?? moved.square;
  const way = facingNow(state, pose, dtS);
  const seen = { timeS, quality, goodS: timeS, fresh: false, limbs, peopleFrom, ...way };
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
