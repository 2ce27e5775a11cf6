import { describe, expect, it } from 'vitest';
import type { Box } from '../../src/clip/types.ts';
import { handlerAhead } from '../../src/gait/handlerPlace.ts';
import { handlerOf, isRider, withoutHandlerFeet } from '../../src/pose/handler.ts';
import type { HorsePose } from '../../src/pose/types.ts';

const horse: Box = [500, 300, 1100, 800];
const rider: Box = [750, 120, 900, 650];
const handler: Box = [380, 320, 520, 830];
const onlooker: Box = [1700, 500, 1740, 640];

const pose: HorsePose = {
  box: horse,
  view: 'left',
  points: {
    point_of_shoulder: { x: 620, y: 500, score: 0.9 },
    tailhead: { x: 1080, y: 420, score: 0.9 },
    left_fore_hoof: { x: 600, y: 795, score: 0.35 },
    right_fore_hoof: { x: 660, y: 790, score: 0.9 },
    left_hind_hoof: { x: 1000, y: 795, score: 0.35 },
  },
};

describe('the handler', () => {
  it('is the large person on the ground near the horse, not the rider nor somebody far away', () => {
    expect(isRider(rider, horse)).toBe(true);
    expect(isRider(handler, horse)).toBe(false);
    expect(handlerOf([onlooker, rider, handler], horse)).toBe(handler);
    expect(handlerOf([onlooker, rider], horse)).toBeNull();
  });

  it('makes unsure hooves at a foot less sure, and leaves all others alone', () => {
    const out = withoutHandlerFeet(pose, [
      { x: 605, y: 775, score: 0.6 },
      { x: 655, y: 772, score: 0.6 },
    ]);
    expect(out.points.left_fore_hoof?.score).toBeCloseTo(0.35 * 0.3, 6);
    expect(out.points.right_fore_hoof?.score).toBe(0.9);
    expect(out.points.left_hind_hoof).toEqual(pose.points.left_hind_hoof);
    expect(pose.points.left_fore_hoof?.score).toBe(0.35);
  });

  it.each([
    [480, 140 / 460],
    [600, 20 / 460],
    [850, -230 / 460],
  ])('with feet at %d px is %d trunks ahead of the shoulder of a horse that faces left', (x, ahead) => {
    const feet = [{ x, y: 780, score: 0.7 }];
    expect(handlerAhead({ horse: pose, handlerFeet: feet })).toBeCloseTo(ahead, 9);
    const mirrored: HorsePose = {
      ...pose,
      view: 'right',
      points: {
        point_of_shoulder: { x: 1920 - 620, y: 500, score: 0.9 },
        tailhead: { x: 1920 - 1080, y: 420, score: 0.9 },
      },
    };
    const turned = [{ x: 1920 - x, y: 780, score: 0.7 }];
    expect(handlerAhead({ horse: mirrored, handlerFeet: turned })).toBeCloseTo(ahead, 9);
  });

  it('has no place without feet, without points or from the front', () => {
    expect(handlerAhead({ horse: pose, handlerFeet: [] })).toBeNull();
    const feet = [{ x: 600, y: 780, score: 0.7 }];
    expect(handlerAhead({ horse: { ...pose, view: 'towards' }, handlerFeet: feet })).toBeNull();
    expect(handlerAhead({ horse: { ...pose, points: {} }, handlerFeet: feet })).toBeNull();
  });
});
