/** Made-up horses, and the engine's loop over them without networks. */
import type { Box } from '../../src/clip/types.ts';
import type { PointName } from '../../src/points.ts';
import {
  afterDetection,
  afterNothing,
  afterPose,
  atTime,
  squareAt,
  wantsDetection,
} from '../../src/pose/follow.ts';
import { nothingFollowed, type FollowState } from '../../src/pose/followState.ts';
import type { HorsePose, Observation } from '../../src/pose/types.ts';

export const size = { widthPx: 1920, heightPx: 1080 };

/** A made-up side view, 600 px long and 500 px high, its left upper corner at (x, y); hooves swing with `phase`. */
export function horse(x: number, y: number, options: { score?: number; phase?: number } = {}): HorsePose {
  const { score = 0.9, phase = 0 } = options;
  const swing = (shift: number): number => 90 * Math.sin(phase + shift);
  const places: Partial<Record<PointName, [number, number]>> = {
    muzzle: [0, 120],
    poll: [70, 0],
    withers: [220, 90],
    croup: [480, 95],
    tailhead: [600, 130],
    point_of_shoulder: [140, 220],
    point_of_elbow: [210, 280],
    left_fore_knee: [200, 380],
    right_fore_knee: [190, 380],
    left_fore_hoof: [200 + swing(0), 500],
    right_fore_hoof: [200 + swing(3.1), 500],
    left_hind_hock: [540, 350],
    right_hind_hock: [530, 350],
    left_hind_hoof: [500 + swing(1.6), 500],
    right_hind_hoof: [500 + swing(4.7), 500],
  };
  const points: Partial<Record<PointName, Observation>> = {};
  for (const [name, [px, py]] of Object.entries(places) as [PointName, [number, number]][]) {
    const at = { x: x + px, y: y + py };
    if (at.x >= 0 && at.x < size.widthPx) points[name] = { ...at, score };
  }
  return { box: [x, y, x + 600, y + 500], view: 'left', points };
}

/** The same horse smaller or larger. */
export function scaled(
  x: number,
  y: number,
  scale: number,
  options: Parameters<typeof horse>[2] = {},
): HorsePose {
  const whole = horse(0, 0, options);
  const points = Object.fromEntries(
    Object.entries(whole.points).map(([name, p]) => [name, { ...p, x: x + scale * p.x, y: y + scale * p.y }]),
  );
  return { ...whole, box: [x, y, x + 600 * scale, y + 500 * scale], points };
}

/** What the detector says of `horse`. */
export const box = (x: number, y: number, scale = 1): Box => [x, y, x + 650 * scale, y + 520 * scale];
export const found = (...boxes: Box[]) => ({
  horses: boxes.map((b) => ({ box: b, score: 0.6 })),
  people: [],
});

export interface Run {
  state: FollowState;
  detections: number;
  seen: number;
  /** Of each frame: the number of the horse, null where none was seen. */
  identities: (number | null)[];
}

/** Runs the loop of the engine over made-up pictures, without networks. */
export function run(
  times: number[],
  boxesAt: (timeS: number) => Box[],
  poseAt: (timeS: number, state: FollowState) => HorsePose,
  state = nothingFollowed,
): Run {
  let detections = 0;
  let seen = 0;
  const identities: (number | null)[] = [];
  for (const timeS of times) {
    state = atTime(state, timeS);
    if (wantsDetection(state, timeS)) {
      state = afterDetection(state, found(...boxesAt(timeS)), timeS);
      detections++;
    }
    if (!squareAt(state, timeS)) {
      state = afterNothing(state, timeS);
      identities.push(null);
      continue;
    }
    const after = afterPose(state, poseAt(timeS, state), timeS, size);
    state = after.state;
    if (after.horse) seen++;
    identities.push(after.horse && state.identity);
  }
  return { state, detections, seen, identities };
}

export const frames = (count: number, fps: number): number[] =>
  Array.from({ length: count }, (_, i) => i / fps);
