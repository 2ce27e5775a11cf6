import { describe, expect, it } from 'vitest';
import type { Box } from '../../src/clip/types.ts';
import {
  afterDetection,
  afterPose,
  atTime,
  peopleNow,
  squareAt,
  wantsDetection,
} from '../../src/pose/follow.ts';
import { nothingFollowed } from '../../src/pose/followState.ts';
import { box, found, frames, horse, run, size } from './madeUp.ts';

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
