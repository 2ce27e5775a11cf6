/** Whatever comes in, no NaN and no infinity leaves the core, and nothing throws. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { POINT_NAMES } from '../../src/points.ts';
import { analyseSidePass, analyseTrack } from '../../src/gait/index.ts';
import type { Track, TrackPoint } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';

function expectFinite(value: unknown, path = 'passes'): void {
  if (typeof value === 'number') expect(Number.isFinite(value), path).toBe(true);
  else if (value !== null && typeof value === 'object') {
    for (const [key, inner] of Object.entries(value)) expectFinite(inner, `${path}.${key}`);
  }
}

function expectSound(track: Track): void {
  const options = { withersM: 1.6 };
  expectFinite(analyseTrack(track, options));
  const [first, last] = [track.timesS[0] ?? 0, track.timesS.at(-1) ?? 0];
  const span = { startS: first, endS: last, direction: 'left', nearSide: 'left' } as const;
  expectFinite(analyseSidePass(track, span, options));
}

const changed = (track: Track, change: (p: TrackPoint | null, i: number) => TrackPoint | null): Track => ({
  ...track,
  points: Object.fromEntries(
    POINT_NAMES.map((name) => [name, track.points[name].map(change)]),
  ) as unknown as Track['points'],
});

it('random holes, jumps and odd SDs in a walk', () => {
  const random = fc.record({
    seed: fc.integer({ min: 1, max: 1e6 }),
    fps: fc.constantFrom(3, 15, 30),
    strides: fc.double({ min: 0.1, max: 3, noNaN: true }),
    holes: fc.double({ min: 0, max: 1, noNaN: true }),
    jumps: fc.double({ min: 0, max: 0.5, noNaN: true }),
    sdPx: fc.constantFrom(0, 1e-9, 1, 1e6),
  });
  fc.assert(
    fc.property(random, ({ seed, fps, strides, holes, jumps, sdPx }) => {
      const { track } = walk({ seed, fps, strides, noise: 1 });
      let k = seed;
      const draw = (): number => {
        k = (k * 16807) % 2147483647;
        return k / 2147483647;
      };
      const broken = changed(track, (p) => {
        if (p === null || draw() < holes) return null;
        return draw() < jumps
          ? { ...p, sdPx, x: p.x + 4000 * (draw() - 0.5), y: p.y + 4000 * (draw() - 0.5) }
          : { ...p, sdPx };
      });
      expectSound(broken);
    }),
    { seed: 20, numRuns: 60 },
  );
}, 60_000);

it('points of no horse at all', () => {
  const coordinate = fc.double({ min: -5000, max: 5000, noNaN: true });
  const frames = fc.array(fc.tuple(coordinate, coordinate), { maxLength: 30 });
  fc.assert(
    fc.property(frames, fc.boolean(), (list, sameTime) => {
      const points = Object.fromEntries(
        POINT_NAMES.map((name, n) => [
          name,
          list.map(([x, y], i): TrackPoint | null =>
            (i + n) % 7 === 0
              ? null
              : { x: x + n, y: y - n * i, vx: 0, vy: 0, sdPx: 1, score: 0.5, source: 'network' },
          ),
        ]),
      ) as unknown as Track['points'];
      expectSound({
        timesS: list.map((_, i) => (sameTime ? 1 : i / 30)),
        points,
        toStill: list.map(() => ({ a: 1, b: 0, tx: 0, ty: 0 })),
        seenSide: list.map(() => 'left'),
        pictureWidthPx: 1920,
        pictureHeightPx: 1080,
        groundSdPx: 0,
      });
    }),
    { seed: 7, numRuns: 60 },
  );
});

it('a horse that stands, and a single frame, and none', () => {
  const { track } = walk({ strides: 2, fps: 30 });
  const still = changed(track, (_, i) =>
    i < 0 ? null : { x: 500, y: 500, vx: 0, vy: 0, sdPx: 1, score: 1, source: 'network' },
  );
  expectSound(still);
  const few = (n: number): Track => ({
    ...track,
    timesS: track.timesS.slice(0, n),
    points: Object.fromEntries(
      POINT_NAMES.map((name) => [name, track.points[name].slice(0, n)]),
    ) as unknown as Track['points'],
    toStill: track.toStill.slice(0, n),
    seenSide: track.seenSide.slice(0, n),
  });
  for (const n of [0, 1, 2, 3, 8]) expectSound(few(n));
});

it('not-a-number in the points themselves counts as unseen', () => {
  const { track } = walk({ strides: 2, fps: 30 });
  expectSound(changed(track, (p, i) => (p && i % 3 === 0 ? { ...p, x: Number.NaN } : p)));
  expectSound(changed(track, (p, i) => (p && i % 3 === 0 ? { ...p, sdPx: Number.NaN } : p)));
});
