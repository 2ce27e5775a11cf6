import { describe, expect, it } from 'vitest';
import type { Box } from '../../src/clip/types.ts';
import type { PointName } from '../../src/points.ts';
import { overlap } from '../../src/pose/boxes.ts';
import {
  afterDetection,
  afterPose,
  atTime,
  peopleNow,
  pickHorse,
  squareAt,
  wantsDetection,
} from '../../src/pose/follow.ts';
import { nothingFollowed, type FollowState } from '../../src/pose/followState.ts';
import type { HorsePose, Observation } from '../../src/pose/types.ts';

const size = { widthPx: 1920, heightPx: 1080 };

/** A made-up side view, 600 px long and 500 px high, its left upper corner at (x, y); hooves swing with `phase`. */
function horse(x: number, y: number, options: { score?: number; phase?: number } = {}): HorsePose {
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
const box = (x: number, y: number, scale = 1): Box => [x, y, x + 650 * scale, y + 520 * scale];
const found = (...boxes: Box[]) => ({ horses: boxes.map((b) => ({ box: b, score: 0.6 })), people: [] });

interface Run {
  state: FollowState;
  detections: number;
  seen: number;
}

/** Runs the loop of the engine over made-up pictures, without networks. */
function run(
  times: number[],
  boxesAt: (timeS: number) => Box[],
  poseAt: (timeS: number, state: FollowState) => HorsePose,
  state = nothingFollowed,
): Run {
  let detections = 0;
  let seen = 0;
  for (const timeS of times) {
    state = atTime(state, timeS);
    if (wantsDetection(state, timeS)) {
      state = afterDetection(state, found(...boxesAt(timeS)), timeS);
      detections++;
    }
    if (!squareAt(state, timeS)) {
      state = { ...state, timeS };
      continue;
    }
    const after = afterPose(state, poseAt(timeS, state), timeS, size);
    state = after.state;
    if (after.horse) seen++;
  }
  return { state, detections, seen };
}

const frames = (count: number, fps: number): number[] => Array.from({ length: count }, (_, i) => i / fps);

describe('following a horse', () => {
  it('looks for it on the first frame and then about once a second', () => {
    const { detections, seen } = run(
      frames(181, 60),
      (t) => [box(1200 - 300 * t, 300)],
      (t) => horse(1200 - 300 * t, 300, { phase: 6 * t }),
    );
    expect(seen).toBe(181);
    expect(detections).toBe(4);
  });

  it.each([15, 30, 60, 240])('keeps the square on a walking horse at %d frames a second', (fps) => {
    const speed = 400;
    let worst = 0;
    let largestChange = 0;
    let lastSide: number | null = null;
    run(
      frames(2 * fps, fps),
      (t) => [box(1200 - speed * t, 300)],
      (t, state) => {
        const square = squareAt(state, t);
        if (square && t > 0.2) {
          worst = Math.max(worst, Math.abs(square.x - (1200 - speed * t + 300)) / square.sidePx);
          if (lastSide) largestChange = Math.max(largestChange, Math.abs(square.sidePx / lastSide - 1));
          lastSide = square.sidePx;
        }
        return horse(1200 - speed * t, 300, { phase: 6 * t });
      },
    );
    // Training shifts the square by up to 8 % of its side.
    expect(worst).toBeLessThan(0.04);
    expect(largestChange).toBeLessThan(0.05);
  });

  it('is not thrown off by one wild point', () => {
    const { state } = run(
      frames(60, 60),
      () => [box(800, 300)],
      (t) => {
        const pose = horse(800, 300);
        if (Math.abs(t - 0.5) > 1e-3) return pose;
        return { ...pose, points: { ...pose.points, left_fore_hoof: { x: 100, y: 1000, score: 0.8 } } };
      },
    );
    expect(Math.abs((state.square?.x ?? 0) - 1100)).toBeLessThan(0.05 * 750);
    expect(state.square?.sidePx).toBeGreaterThan(0.9 * 750);
    expect(state.square?.sidePx).toBeLessThan(1.1 * 750);
  });

  it('keeps following by the points when the detector sees nothing', () => {
    const { seen, detections } = run(
      frames(120, 30),
      (t) => (t === 0 ? [box(1200, 300)] : []),
      (t) => horse(1200 - 200 * t, 300),
    );
    expect(seen).toBe(120);
    expect(detections).toBe(4);
  });

  it('lets go of a horse that has left, and takes up the next one', () => {
    const { state, seen } = run(
      frames(150, 30),
      (t) => (t < 1 || t > 3 ? [box(t < 1 ? 0 : 1000, 300)] : []),
      (t) => horse(t < 1 ? 0 : 1000, 300, { score: t < 1 || t > 3 ? 0.9 : 0.05 }),
    );
    // Gone for two seconds of sixty frames; found again within the 0.2 s between two looks.
    expect(seen).toBeGreaterThanOrEqual(30 + 54);
    expect(seen).toBeLessThanOrEqual(30 + 60);
    expect(state.square?.x).toBeCloseTo(1300, 0);
  });

  it('moves rider and handler along with the horse until the detector looks again', () => {
    const rider: Box = [1350, 150, 1500, 600];
    const onlooker: Box = [100, 300, 140, 420];
    let state = afterDetection(
      nothingFollowed,
      { ...found(box(1200, 300)), people: [rider, onlooker].map((b) => ({ box: b, score: 0.6 })) },
      0,
    );
    for (const timeS of frames(31, 60))
      state = afterPose(state, horse(1200 - 400 * timeS, 300), timeS, size).state;
    const [onHorse, apart] = peopleNow(state);
    expect(Math.abs((onHorse?.[0] ?? 0) - (1350 - 400 / 2))).toBeLessThan(20);
    expect(onHorse?.[1]).toBeCloseTo(150, 0);
    expect(apart).toEqual(onlooker);
  });

  it('starts anew after a jump in time', () => {
    const { state } = run(
      frames(30, 30),
      () => [box(800, 300)],
      () => horse(800, 300),
    );
    expect(wantsDetection(state, 0.98)).toBe(false);
    expect(wantsDetection(state, 0.2)).toBe(true);
    expect(wantsDetection(state, 5)).toBe(true);
    expect(atTime(state, 5).square).toBeNull();
  });
});

describe('which horse', () => {
  const near = box(1100, 400);
  const far = box(200, 350, 0.6);

  it('takes the largest', () => {
    const { state } = run(
      [0],
      () => [far, near],
      () => horse(1100, 400),
    );
    expect(state.square?.x).toBeCloseTo(1400, 0);
  });

  it('takes the one that the user picks, and keeps it', () => {
    const picked = pickHorse(nothingFollowed, far);
    const { state } = run(
      frames(90, 30),
      () => [near, far],
      () => horse(200, 350),
      picked,
    );
    expect(state.square?.x).toBeCloseTo(500, 0);
    expect(state.picked).toBe(true);
  });

  it('turns to a walking horse when the large one just stands there', () => {
    const walks = (t: number): Box => box(1500 - 150 * t, 300, 0.7);
    const { state } = run(
      frames(150, 30),
      (t) => [box(100, 450), walks(t)],
      (t, s) => {
        const square = squareAt(s, t);
        const onWalker =
          square && overlap(walks(t), [square.x - 200, square.y - 200, square.x + 200, square.y + 200]) > 0.3;
        return onWalker && t > 2 ? horse(1500 - 150 * t, 300, { phase: 6 * t }) : horse(100, 450);
      },
    );
    expect(state.square?.x).toBeGreaterThan(0);
    expect(Math.abs((state.square?.x ?? 0) - (1500 - 150 * (149 / 30) + 300))).toBeLessThan(80);
  });

  it('stays with a horse that walks in place, as one followed by a panned camera does', () => {
    const { state } = run(
      frames(150, 30),
      (t) => [box(700, 400), box(1500 - 350 * t, 300, 0.7)],
      (t) => horse(700, 400, { phase: 6 * t }),
    );
    expect(state.square?.x).toBeCloseTo(1000, -2);
  });
});
