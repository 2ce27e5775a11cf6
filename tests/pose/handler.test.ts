import { describe, expect, it } from 'vitest';
import type { Box } from '../../src/clip/types.ts';
import { handlerPlace, usualHandlerPlace } from '../../src/gait/handlerPlace.ts';
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
    [480, 'ahead'],
    [600, 'at the shoulder'],
    [850, 'behind'],
  ])('with feet at %d px walks %s of a horse that faces left', (x, place) => {
    const feet = [{ x, y: 780, score: 0.7 }];
    expect(handlerPlace({ horse: pose, handlerFeet: feet })).toBe(place);
    const mirrored: HorsePose = {
      ...pose,
      view: 'right',
      points: {
        point_of_shoulder: { x: 1920 - 620, y: 500, score: 0.9 },
        tailhead: { x: 1920 - 1080, y: 420, score: 0.9 },
      },
    };
    const turned = [{ x: 1920 - x, y: 780, score: 0.7 }];
    expect(handlerPlace({ horse: mirrored, handlerFeet: turned })).toBe(place);
  });

  it('has no place without feet, without points or from the front', () => {
    expect(handlerPlace({ horse: pose, handlerFeet: [] })).toBeNull();
    const feet = [{ x: 600, y: 780, score: 0.7 }];
    expect(handlerPlace({ horse: { ...pose, view: 'towards' }, handlerFeet: feet })).toBeNull();
    expect(handlerPlace({ horse: { ...pose, points: {} }, handlerFeet: feet })).toBeNull();
  });

  it('has a usual place with its share of the frames that tell one', () => {
    const at = (x: number) => ({ horse: pose, handlerFeet: [{ x, y: 780, score: 0.7 }] });
    const frames = [at(600), at(600), at(480), at(600), { horse: pose, handlerFeet: [] }];
    expect(usualHandlerPlace(frames)).toEqual({ place: 'at the shoulder', share: 0.75, frames: 4 });
    expect(usualHandlerPlace([{ horse: null, handlerFeet: [] }])).toBeNull();
  });
});
