/** Whatever comes in, no NaN and no infinity leaves the stand, and nothing throws. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { POINT_NAMES } from '../../src/points.ts';
import { compareStands, overlay, proposeFrames, standMeasures } from '../../src/stand/index.ts';
import type { StandPoints } from '../../src/stand/places.ts';
import { numbers } from '../support/kinematic.ts';
import { madeUp, noisy, optionsOf, pictureOf } from './made.ts';
import { expectFinite, measuresOf, trackOf } from './support.ts';

const coordinate = fc.oneof(
  fc.double({ min: -2000, max: 4000, noNaN: true }),
  fc.constantFrom(0, NaN, Infinity, -Infinity, 1e308, 1e9),
);
const wild = fc.record({ x: coordinate, y: coordinate });

function expectSound(points: StandPoints, withersM: number | null): void {
  for (const nearSide of ['left', 'right'] as const) {
    const options = { nearSide, pictureWidthPx: 1280, pictureHeightPx: 720 };
    const stand = standMeasures(points, withersM, options);
    expectFinite(stand, 'stand');
    for (const [name, one] of measuresOf(stand)) {
      if ('reason' in one) continue;
      expect(one.low, name).toBeLessThanOrEqual(one.value);
      expect(one.high, name).toBeGreaterThanOrEqual(one.value);
    }
    expectFinite(compareStands(stand, stand));
    expectFinite(overlay(stand, stand, { heightPx: 400, footXPx: 0, footYPx: 0 }));
  }
}

it('points that are missing in any combination', () => {
  const made = madeUp(numbers(7));
  const exact = pictureOf(made);
  fc.assert(
    fc.property(fc.subarray([...POINT_NAMES]), fc.constantFrom(null, 1.6), (kept, withersM) => {
      const points = Object.fromEntries(kept.map((name) => [name, exact[name] ?? null]));
      const found = standMeasures(points, withersM, optionsOf(made));
      expectFinite(found);
      const both = ['left_fore_hoof', 'right_fore_hoof'] as const;
      const isSeen = [...both, 'withers' as const].every((name) => points[name]);
      expect('value' in found.inWithersHeights.foreLeftAheadH).toBe(isSeen);
    }),
    { numRuns: 60, seed: 1 },
  );
});

it('points anywhere, or nowhere', () => {
  const some = fc.dictionary(fc.constantFrom(...POINT_NAMES), fc.oneof(wild, fc.constant(null)), {
    maxKeys: POINT_NAMES.length,
  });
  fc.assert(
    fc.property(some, fc.constantFrom(null, 1.6, NaN, -1, 1e308), (points, withersM) =>
      expectSound(points, withersM),
    ),
    { numRuns: 100, seed: 2 },
  );
});

it('one wild point in a horse', () => {
  fc.assert(
    fc.property(fc.constantFrom(...POINT_NAMES), wild, fc.integer({ min: 1, max: 1e6 }), (name, p, seed) => {
      const random = numbers(seed);
      const made = madeUp(random);
      expectSound({ ...noisy(pictureOf(made), made, random), [name]: p }, 1.6);
    }),
    { numRuns: 40, seed: 3 },
  );
});

it('clips with holes and jumps', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: 1, max: 1e6 }),
      fc.double({ min: 0, max: 1, noNaN: true }),
      (seed, holes) => {
        const random = numbers(seed);
        const made = madeUp(random);
        const frames = Array.from({ length: 30 }, (_, i) => ({
          timeS: i / 30,
          points: Object.fromEntries(
            Object.entries(noisy(pictureOf(made), made, random)).map(([name, p]) => {
              const jump = random.uniform() < 0.02 ? 1e4 * random.normal() : 0;
              return [name, p && random.uniform() >= holes ? { x: p.x + jump, y: p.y } : null];
            }),
          ) as StandPoints,
        }));
        expectFinite(proposeFrames(trackOf(frames, 'left', 1920, 1080), { withersM: 1.6 }));
      },
    ),
    { numRuns: 20, seed: 4 },
  );
});
