import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { linear, tickDecimals, ticks } from '../../src/ui/charts/scale.ts';
import { POINT_NAMES, type PointName } from '../../src/points.ts';
import { fitMapping, followRegions, pointNear, toView, zoomMapping } from '../../src/ui/player/geometry.ts';
import { frameOfPicture, insideFrameS } from '../../src/ui/frameTimes.ts';
import { nearestIndex } from '../../src/track/times.ts';
import type { Track, TrackPoint } from '../../src/track/types.ts';

describe('axes', () => {
  it('have round values', () => {
    expect(ticks(0.4, 4.3, 8)).toEqual([0.5, 1, 1.5, 2, 2.5, 3, 3.5, 4]);
    expect(ticks(-7, 21, 5)).toEqual([0, 10, 20]);
    expect(tickDecimals([0.5, 1])).toBe(1);
    expect(tickDecimals([10, 20])).toBe(0);
  });

  it('never have more values than asked for by more than one, and all within the range', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -100, max: 100, noNaN: true }),
        fc.double({ min: 0.01, max: 200, noNaN: true }),
        fc.integer({ min: 2, max: 12 }),
        (low, span, most) => {
          const values = ticks(low, low + span, most);
          expect(values.length).toBeLessThanOrEqual(most + 1);
          for (const value of values) {
            expect(value).toBeGreaterThanOrEqual(low - span * 1e-6);
            expect(value).toBeLessThanOrEqual(low + span * (1 + 1e-6));
          }
        },
      ),
    );
  });

  it('turn px back into data', () => {
    const scale = linear([0.4, 4.3], [300, 14]);
    expect(scale.invert(scale(2.2))).toBeCloseTo(2.2, 12);
  });
});

describe('the picture on the stage', () => {
  const stage = { width: 360, height: 270 };
  const picture = { width: 1920, height: 1080 };

  it('fits and stays in the middle', () => {
    const mapping = fitMapping(stage, picture);
    expect(toView(mapping, { x: 959.5, y: 539.5 })).toEqual({ x: 180, y: 135 });
    expect(mapping.scale * 1920).toBeCloseTo(360, 9);
  });

  it('comes close to the horse but shows nothing beyond the edges of the picture', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 1920, noNaN: true }),
        fc.double({ min: 0, max: 1080, noNaN: true }),
        (x, y) => {
          const mapping = zoomMapping(stage, picture, { width: 700, height: 500, centre: { x, y } });
          const start = toView(mapping, { x: -0.5, y: -0.5 });
          const end = toView(mapping, { x: 1919.5, y: 1079.5 });
          expect(Math.max(start.x, start.y)).toBeLessThanOrEqual(1e-6);
          expect(end.x).toBeGreaterThanOrEqual(stage.width - 1e-6);
          expect(end.y).toBeGreaterThanOrEqual(stage.height - 1e-6);
        },
      ),
    );
  });

  it('is close to the horse, yet holds every point of its frame with a margin, however the horse jumps about', () => {
    const place = fc.record({
      x: fc.integer({ min: 400, max: 1500 }),
      y: fc.integer({ min: 350, max: 700 }),
      size: fc.integer({ min: 80, max: 300 }),
    });
    fc.assert(
      fc.property(fc.array(place, { minLength: 1, maxLength: 30 }), (places) => {
        const regions = followRegions(trackOf(places));
        places.forEach(({ x, y, size }, frame) => {
          const region = regions[frame];
          if (!region) throw new Error('No region');
          const mapping = zoomMapping(stage, picture, region);
          for (const sign of [-1, 1]) {
            const view = toView(mapping, { x: x + sign * size, y: y + sign * size });
            const marginPx = 0.05 * 2 * size * mapping.scale;
            expect(Math.min(view.x, view.y)).toBeGreaterThan(marginPx);
            expect(view.x).toBeLessThan(stage.width - marginPx);
            expect(view.y).toBeLessThan(stage.height - marginPx);
          }
        });
      }),
    );
  });

  /** A horse whose points lie on a diagonal of its box. */
  function trackOf(places: readonly { x: number; y: number; size: number }[]): Track {
    const point = (name: number, frame: number): TrackPoint => {
      const { x = 0, y = 0, size = 0 } = places[frame] ?? {};
      const along = size * ((2 * name) / (POINT_NAMES.length - 1) - 1);
      return { x: x + along, y: y + along, vx: 0, vy: 0, sdPx: 1, score: 1, source: 'network' };
    };
    return {
      timesS: places.map((_, frame) => frame / 30),
      points: Object.fromEntries(
        POINT_NAMES.map((name, i) => [name, places.map((_, f) => point(i, f))] as const),
      ) as Record<PointName, TrackPoint[]>,
      toStill: places.map(() => ({ a: 1, b: 0, tx: 0, ty: 0 })),
      seenSide: places.map(() => null),
      pictureWidthPx: picture.width,
      pictureHeightPx: picture.height,
      groundSdPx: 0,
    };
  }

  it('gives the nearest point within reach', () => {
    const at = (x: number, y: number) => ({ x, y, source: 'network' as const, sdPx: 1 });
    const points = new Map([
      ['poll', at(10, 10)],
      ['withers', at(40, 10)],
    ] as const);
    const mapping = { scale: 1, tx: 0, ty: 0 };
    expect(pointNear(points, mapping, { x: 22, y: 10 }, 14)).toBe('poll');
    expect(pointNear(points, mapping, { x: 36, y: 10 }, 30)).toBe('withers');
    expect(pointNear(points, mapping, { x: 100, y: 100 }, 14)).toBeNull();
  });
});

describe('frames', () => {
  const uneven = [0, 0.033, 0.05, 0.1, 0.2];

  it('are found by the nearest time', () => {
    expect(nearestIndex(uneven, -1)).toBe(0);
    expect(nearestIndex(uneven, 0.0416)).toBe(2);
    expect(nearestIndex(uneven, 0.0414)).toBe(1);
    expect(nearestIndex(uneven, 9)).toBe(4);
    expect(nearestIndex([], 1)).toBe(0);
  });

  it('are sought in their middle, between their own time and the next', () => {
    uneven.forEach((timeS, frame) => {
      const inside = insideFrameS(uneven, frame);
      expect(inside).toBeGreaterThan(timeS);
      expect(inside).toBeLessThan(uneven[frame + 1] ?? Infinity);
      expect(frameOfPicture(uneven, inside)).toBe(frame);
    });
  });

  it('are told by a picture that the file holds twice, or whose time is rounded', () => {
    const thirty = [0, 1 / 30, 2 / 30];
    expect(frameOfPicture(thirty, 1 / 60)).toBe(0);
    expect(frameOfPicture(thirty, 0.033)).toBe(1);
    expect(frameOfPicture(thirty, 9)).toBe(2);
    expect(frameOfPicture([], 1)).toBe(0);
  });
});
