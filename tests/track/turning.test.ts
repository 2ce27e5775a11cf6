import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lensOf, lensWith, LANES, lanesOf, toStillOf } from '../../src/track/lens.ts';
import { applySimilarity, compose, IDENTITY, type Point } from '../../src/track/similarity.ts';
import { composeTurns, flatPlace, toPicture, toStillFrame, turnBetween } from '../../src/track/turning.ts';
import type { MotionStep, Similarity } from '../../src/track/types.ts';

const PICTURE = { widthPx: 1920, heightPx: 1080 };
const F = 0.75 * PICTURE.widthPx;
const LENS = lensWith(0.75 ** -2, 0, PICTURE);
const { centre } = LENS;

/** Directions in the world seen by a pinhole camera with these angles (yaw, then pitch, then roll; radians). */
function pinhole(yaw: number, pitch: number, roll: number): (p: Point) => Point {
  return ({ x, y }) => {
    const [u, v] = [(x - centre.x) / F, (y - centre.y) / F];
    const [a, b] = [Math.cos(roll) * u - Math.sin(roll) * v, Math.sin(roll) * u + Math.cos(roll) * v];
    const [c, z] = [Math.cos(pitch) * b + Math.sin(pitch), Math.cos(pitch) - Math.sin(pitch) * b];
    const azimuth = Math.atan2(a, z) + yaw;
    return { x: centre.x + F * azimuth, y: centre.y + (F * c) / Math.hypot(a, z) };
  };
}

/** The four numbers of that camera. */
function turn(yaw: number, pitch: number, roll: number): Similarity {
  const [a, b] = [Math.cos(roll), Math.sin(roll)];
  const { x, y } = centre;
  return { a, b, tx: F * yaw + x - a * x + b * y, ty: F * pitch + y - b * x - a * y };
}

const angle = (most: number) => fc.double({ min: -most, max: most, noNaN: true });
const place = fc.record({
  x: fc.double({ min: 0, max: 1919, noNaN: true }),
  y: fc.double({ min: 0, max: 1079, noNaN: true }),
});
const near = (p: Point, q: Point, px = 1e-6): void => {
  expect(Math.hypot(p.x - q.x, p.y - q.y)).toBeLessThan(px);
};

describe('a camera that stands and turns', () => {
  it('takes places to where a pinhole camera sees them on the cylinder, and back', () => {
    fc.assert(
      fc.property(angle(1.2), angle(0.2), angle(0.3), place, (yaw, pitch, roll, p) => {
        const s = turn(yaw, pitch, roll);
        const still = toStillFrame(LENS, s, p);
        near(still, pinhole(yaw, pitch, roll)(p));
        near(toPicture(LENS, s, still), p);
      }),
    );
  });

  it('turned once, and on from there: the turns of both compose, and the one between is found again', () => {
    fc.assert(
      fc.property(angle(0.5), angle(0.1), angle(0.1), angle(0.2), place, (yaw, pitch, roll, more, p) => {
        const [first, then] = [turn(more, pitch, roll), turn(yaw, -pitch, roll)];
        const both = composeTurns(LENS, then, first);
        const through = toPicture(LENS, IDENTITY, toStillFrame(LENS, first, p));
        near(toStillFrame(LENS, both, p), toStillFrame(LENS, then, through));
        near(toStillFrame(LENS, turnBetween(LENS, both, then), p), toStillFrame(LENS, first, p));
      }),
    );
  });

  it('goes on beyond half a circle', () => {
    let still: Similarity = IDENTITY;
    for (let i = 0; i < 50; i++) still = composeTurns(LENS, still, turn(0.1, 0, 0));
    expect(still.tx).toBeCloseTo(5 * F, 5);
  });

  it('of endless focal length shifts its picture: the plain similarity', () => {
    const flat = lensWith(0, 0, PICTURE);
    const [s, t] = [
      { a: 1.01, b: 0.02, tx: 300, ty: -20 },
      { a: 0.98, b: -0.01, tx: -90, ty: 15 },
    ];
    const p = { x: 200, y: 700 };
    near(toStillFrame(flat, s, p), applySimilarity(s, p), 1e-9);
    near(toStillFrame(flat, composeTurns(flat, s, t), p), applySimilarity(compose(s, t), p), 1e-9);
    expect(flatPlace(flat, 500, p)).toMatchObject(p);
  });

  it('shows a straight path at one depth with one scale, whichever way it looked', () => {
    // Places 1 m apart, 9 m away, 1.3 m below the camera; the picture of a camera that looks at the third.
    const [axis, places] = [0.2, [-2, -1, 0, 1, 2]];
    const flat = places.map((along) => {
      const azimuth = Math.atan2(along, 9);
      const still = {
        x: centre.x + F * (axis + azimuth),
        y: centre.y + (F * 1.3) / Math.hypot(along, 9),
      };
      return flatPlace(LENS, centre.x + F * axis, still);
    });
    flat.forEach(({ x, y }, i) => {
      near({ x: x - (flat[2]?.x ?? 0), y }, { x: (F * (places[i] ?? 0)) / 9, y: centre.y + (F * 1.3) / 9 });
    });
  });
});

describe('the lens of a clip', () => {
  const step = (i: number, value: number, sd: number): MotionStep => ({
    timeS: i / 30,
    toPrevious: turn(0.05, 0, 0),
    turns: LANES.slice(1).map(() => turn(0.05, 0, 0)),
    inliers: 100,
    features: 100,
    ok: true,
    bend: { value, sd },
  });
  const long2 = PICTURE.widthPx ** 2;

  it('is none where nothing moved, or hardly', () => {
    expect(lensOf(null, PICTURE)).toBeUndefined();
    const trembling = { ...step(1, 2.5, 0.02), toPrevious: { ...IDENTITY, tx: 0.004 * PICTURE.widthPx } };
    expect(lensOf([step(0, 2.5, 0.02), trembling], PICTURE)).toBeUndefined();
    const rest = { timeS: 0, toPrevious: IDENTITY, inliers: 9, features: 9, ok: true };
    expect(lensOf([rest], PICTURE)).toBeUndefined();
  });

  it('is that which the steps tell, the surer ones more; a usual one where they tell little', () => {
    const sure = Array.from({ length: 60 }, (_, i) => step(i, i % 2 ? 2.4 : 2.6, i < 30 ? 0.02 : 0.2));
    const told = lensOf(sure, PICTURE);
    expect((told?.kappa ?? 0) * long2).toBeCloseTo(2.5, 1);
    expect((told?.kappaSd ?? 1) * long2).toBeLessThan(0.3);
    const unsure = lensOf([step(0, 5, 30), step(1, -9, 30)], PICTURE);
    expect((unsure?.kappa ?? 0) * long2).toBeCloseTo(1.3, 1);
    expect((unsure?.kappaSd ?? 0) * long2).toBeGreaterThan(0.8);
  });

  it('between two of those that steps are fitted under: within .1 % of a turn', () => {
    // A turn of .3 rad of features that spread over the picture, as each lens would have it.
    const [yaw, spread] = [0.3, PICTURE.widthPx ** 2 / 12];
    const under = lanesOf(PICTURE).map(({ kappa }) => ({
      ...IDENTITY,
      tx: (F * yaw) / (1 + kappa * spread),
    }));
    const truth = (F * yaw) / (1 + LENS.kappa * spread);
    const [toPrevious = IDENTITY, ...turns] = under;
    const motion = [step(0, 1, 1), { ...step(1, 1, 1), toPrevious, turns }];
    const [, still] = toStillOf([0, 1 / 30], motion, PICTURE, LENS);
    expect(Math.abs((still?.tx ?? 0) / truth - 1)).toBeLessThan(0.001);
  });
});
