/** The square that the network looks at, on its smoothed way after the horse's points. */
import type { Box } from '../clip/types.ts';
import { boxOfPoints } from './boxes.ts';
import { squareAround, type Square } from './crop.ts';
import type { FollowState } from './followState.ts';
import type { HorsePose } from './types.ts';

/** Side of the square as a multiple of the longer side of the box: as in training. */
const POINTS_MARGIN = 1.25;
/** Score from which a point counts. */
export const CONFIDENT = 0.3;

/** Time constants of the square's smoothing, s. */
const CENTRE_S = 0.05;
const SIDE_S = 0.25;
const SPEED_S = 0.2;
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

/** How much of the way an exponential smoother of this time constant goes in dtS. */
export const share = (dtS: number, constantS: number): number => 1 - Math.exp(-dtS / constantS);
const within = (value: number, most: number): number => Math.min(most, Math.max(-most, value));

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
