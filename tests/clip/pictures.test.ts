import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PictureBuffers, pictureIn } from '../../src/clip/buffers.ts';
import { matrixOf } from '../../src/clip/colour.ts';
import { i420Bytes, i420Of, turn, type RotationDeg } from '../../src/clip/planes.ts';
import { shrinkFactor, shrunk } from '../../src/clip/shrink.ts';
import { random } from './random.ts';

describe('planes', () => {
  // Multiples of four, with even chroma too, go the quick way.
  const side = fc.oneof(
    fc.integer({ min: 1, max: 70 }),
    fc.integer({ min: 1, max: 12 }).map((n) => 8 * n),
  );
  const sizes = fc.tuple(side, side);

  it('four quarter turns give the picture back, two are a half turn, one and three undo each other', () => {
    fc.assert(
      fc.property(sizes, ([widthPx, heightPx]) => {
        const bytes = random(i420Bytes(widthPx, heightPx));
        const turnedBy = (from: Uint8Array, w: number, h: number, by: RotationDeg): Uint8Array => {
          const to = new Uint8Array(from.length);
          turn(i420Of(from, w, h), by, by === 180 ? i420Of(to, w, h) : i420Of(to, h, w));
          return to;
        };
        const once = turnedBy(bytes, widthPx, heightPx, 90);
        const twice = turnedBy(once, heightPx, widthPx, 90);
        expect(twice).toEqual(turnedBy(bytes, widthPx, heightPx, 180));
        expect(turnedBy(once, heightPx, widthPx, 270)).toEqual(bytes);
      }),
      { numRuns: 50, seed: 7 },
    );
  });

  it('a quarter turn is clockwise', () => {
    const to = new Uint8Array(6);
    const plane = Uint8Array.of(1, 2, 3, 4, 5, 6);
    const empty = new Uint8Array(2);
    const as = (y: Uint8Array, widthPx: number, heightPx: number) => ({
      widthPx,
      heightPx,
      y,
      u: empty,
      v: empty,
    });
    turn(as(plane, 3, 2), 90, as(to, 2, 3));
    expect([...to]).toEqual([4, 1, 5, 2, 6, 3]);
    const square = Uint8Array.from({ length: 32 }, (_, i) => i);
    const turnedSquare = new Uint8Array(32);
    turn(as(square, 8, 4), 90, as(turnedSquare, 4, 8));
    expect([...turnedSquare.subarray(0, 8)]).toEqual([24, 16, 8, 0, 25, 17, 9, 1]);
  });

  it('shrinking is the mean of each square, on the quick way for 1080p too', () => {
    for (const [widthPx, heightPx, factor] of [
      [24, 7, 3],
      [8, 8, 5],
      [64, 9, 6],
      [23, 9, 3],
      [1920, 12, 3],
      [17, 9, 2],
      [60, 12, 6],
    ] as const) {
      const plane = random(widthPx * heightPx);
      const small = shrunk(plane, widthPx, heightPx, factor);
      expect([small.widthPx, small.heightPx]).toEqual([
        Math.floor(widthPx / factor),
        Math.floor(heightPx / factor),
      ]);
      small.data.forEach((value, i) => {
        const [x, y] = [(i % small.widthPx) * factor, Math.floor(i / small.widthPx) * factor];
        let sum = 0;
        for (let dy = 0; dy < factor; dy++) {
          for (let dx = 0; dx < factor; dx++) sum += plane[(y + dy) * widthPx + x + dx] ?? NaN;
        }
        expect(Math.abs(value - sum / factor ** 2)).toBeLessThanOrEqual(0.5);
      });
    }
  });

  it('small pictures are at most 640 px wide', () => {
    expect([360, 640, 641, 1280, 1920, 2208, 3840].map((width) => shrinkFactor(width, 640))).toEqual([
      1, 1, 2, 2, 3, 4, 6,
    ]);
  });
});

describe('picture memory', () => {
  it('is used again for a picture of the same size, and for no other', () => {
    const buffers = new PictureBuffers();
    const first = buffers.take(640, 360);
    buffers.giveBack(first.bytes.buffer);
    expect(buffers.take(640, 360).bytes.buffer).toBe(first.bytes.buffer);
    buffers.giveBack(first.bytes.buffer);
    expect(buffers.take(320, 180).bytes.buffer).not.toBe(first.bytes.buffer);
  });

  it('holds the planes and the small picture in one buffer', () => {
    const picture = pictureIn(new PictureBuffers().take(1281, 721), {
      timeS: 0,
      matrix: 'bt709',
      fullRange: false,
    });
    expect(
      new Set([picture.y, picture.u, picture.v, picture.small.data].map((plane) => plane.buffer)).size,
    ).toBe(1);
    expect(picture.u.length).toBe(641 * 361);
    expect(picture.small.data.length).toBe(427 * 240);
  });
});

describe('colour', () => {
  it('is as tagged, and guessed by height where it is not', () => {
    expect(matrixOf('smpte170m', 1080)).toBe('bt601');
    expect(matrixOf('bt709', 360)).toBe('bt709');
    expect(matrixOf(null, 719)).toBe('bt601');
    expect(matrixOf('unknown', 720)).toBe('bt709');
  });
});
