/** The square that the network looks at, on its smoothed way after the horse's points. */
import type { Box } from '../clip/types.ts';
import { boxOfPoints } from './boxes.ts';
import { squareAround, type Square } from './crop.ts';
import type { FollowState, Sighting } from './followState.ts';
import type { HorsePose } from './types.ts';

/** Side of the square as a multiple of the longer side of the box: as in training. */
const POINTS_MARGIN = 1.25;
/** Score from which a point counts. */
export const CONFIDENT = 0.3;

/** Time constants of the square's smoothing, s. */
const CENTRE_S = 0.05;
const SIDE_S = 0.25;
const SPEED_S = 0.2;
/** Longest that a horse may be out of sight and still be known by its place, s. */
const LONGEST_LOSS_S = 3;
/**
 * How far from its expected place a horse may turn up: at once, more for each second out of sight (at a walk the
 * square moves by about .6 of its side a second: half of that may be unforeseen), at most. Shares of the side; the
 * most is less than the length of a horse, lest one that walks behind another be taken for it.
 */
const OFF_PLACE = { atOnce: 0.3, perS: 0.3, most: 0.6 };
/** Most that its size may differ: boxes of the detector and of the points do by a tenth or two. */
const OFF_SIZE = 1.5;

/** Farthest that the centre is moved against what was expected in one frame, share of the side. */
const MOST_STEP = 0.2;

/** The horse's box in its square, picture px. */
export const boxOfSquare = (s: Square): Box => {
  const half = s.sidePx / 2 / POINTS_MARGIN;
  return [s.x - half, s.y - half, s.x + half, s.y + half];
};

/** Square around the horse's own points; null where too few are sure. */
export function squareOfPoints(pose: HorsePose): Square | null {
  const box = boxOfPoints(pose.points, CONFIDENT);
  return box && squareAround(box, POINTS_MARGIN);
}

/** The detector's box holds the tail and is 1.14 times the points' extent in the median. */
const DETECTOR_MARGIN = 1.1;

/** Square around a box of the detector. */
export const squareOfBox = (box: Box): Square => squareAround(box, DETECTOR_MARGIN);

/** How much of the way an exponential smoother of this time constant goes in dtS. */
export const share = (dtS: number, constantS: number): number => 1 - Math.exp(-dtS / constantS);
const within = (value: number, most: number): number => Math.min(most, Math.max(-most, value));

/** Where a horse of which nothing has been seen since should be at timeS: it goes on as it went. */
export const expectedSquare = ({ square, speed, timeS: thenS }: Sighting, timeS: number): Square => ({
  x: square.x + speed.x * (timeS - thenS),
  y: square.y + speed.y * (timeS - thenS),
  sidePx: square.sidePx,
});

/** Whether the horse in this square at timeS can be the one seen before: near its expected place, of like size. */
export function canBe(seen: Sighting | null, square: Square, timeS: number): boolean {
  if (!seen) return false;
  const goneS = timeS - seen.timeS;
  if (goneS < 0 || goneS > LONGEST_LOSS_S) return false;
  const { x, y, sidePx } = expectedSquare(seen, timeS);
  const allowed = Math.min(OFF_PLACE.most, OFF_PLACE.atOnce + OFF_PLACE.perS * goneS) * sidePx;
  const ratio = square.sidePx / sidePx;
  return Math.hypot(square.x - x, square.y - y) <= allowed && ratio <= OFF_SIZE && ratio >= 1 / OFF_SIZE;
}

export interface PictureSize {
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
export function movedSquare(
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
