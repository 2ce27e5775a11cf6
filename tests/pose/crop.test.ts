import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Picture } from '../../src/clip/types.ts';
import { cut, mirroredInput, toCut, toPicture, type Rgba, type Square } from '../../src/pose/crop.ts';

const small = { widthPx: 1, heightPx: 1, data: new Uint8Array(1) };

function noise(widthPx: number, heightPx: number, seed: number): Rgba {
  const data = new Uint8Array(widthPx * heightPx * 4);
  let state = seed;
  for (let i = 0; i < data.length; i++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    data[i] = state >>> 24;
  }
  return { widthPx, heightPx, data };
}

/** Value of a channel where the picture is spread as squares of one px (area) or linearly between centres. */
function at(p: Rgba, x: number, y: number, c: number): number {
  const cx = Math.min(p.widthPx - 1, Math.max(0, x));
  const cy = Math.min(p.heightPx - 1, Math.max(0, y));
  return p.data[(cy * p.widthPx + cx) * 4 + c] as number;
}

/** The plain definition: the mean over the output px of a window of at least one source px, by its overlap. */
function plainValue(p: Rgba, square: Square, outPx: number, i: number, j: number, c: number): number {
  const scale = square.sidePx / outPx;
  const half = Math.max(1, scale) / 2;
  const centre = toPicture(square, outPx, i, j);
  let sum = 0;
  let weight = 0;
  for (let y = Math.floor(centre.y - half) - 1; y <= centre.y + half + 1; y++) {
    for (let x = Math.floor(centre.x - half) - 1; x <= centre.x + half + 1; x++) {
      const wx = Math.min(centre.x + half, x + 0.5) - Math.max(centre.x - half, x - 0.5);
      const wy = Math.min(centre.y + half, y + 0.5) - Math.max(centre.y - half, y - 0.5);
      if (wx <= 0 || wy <= 0) continue;
      sum += wx * wy * at(p, x, y, c);
      weight += wx * wy;
    }
  }
  return sum / weight;
}

describe('cutting a square', () => {
  const picture = noise(61, 43, 5);
  it.each<[string, Square]>([
    ['shrinking inside', { x: 30.2, y: 21.1, sidePx: 37.7 }],
    ['shrinking over the border', { x: 3, y: 40, sidePx: 55 }],
    ['enlarging', { x: 30.2, y: 21.1, sidePx: 7.3 }],
    ['enlarging over the corner', { x: 60, y: 0, sidePx: 9 }],
    ['wholly outside', { x: 200, y: -90, sidePx: 30 }],
    ['larger than the picture', { x: 30, y: 21, sidePx: 130 }],
  ])('%s equals the plain definition', (_, square) => {
    const out = cut(picture, square, 16);
    let worst = 0;
    for (let j = 0; j < 16; j++) {
      for (let i = 0; i < 16; i++) {
        for (let c = 0; c < 3; c++) {
          const off = (out[(j * 16 + i) * 3 + c] as number) - plainValue(picture, square, 16, i, j, c);
          worst = Math.max(worst, Math.abs(off));
        }
      }
    }
    // Single precision, values up to 255.
    expect(worst).toBeLessThan(1e-3);
  });

  it('maps back exactly', () => {
    const number = fc.double({ min: -500, max: 2500, noNaN: true });
    fc.assert(
      fc.property(
        number,
        number,
        fc.double({ min: 1, max: 3000, noNaN: true }),
        number,
        number,
        (x, y, sidePx, px, py) => {
          const square = { x, y, sidePx };
          const there = toCut(square, 256, px, py);
          const back = toPicture(square, 256, there.x, there.y);
          return Math.hypot(back.x - px, back.y - py) < 1e-6;
        },
      ),
      { seed: 11 },
    );
  });

  it('finds a dot where the mapping says it is', () => {
    const dot: Rgba = { widthPx: 400, heightPx: 300, data: new Uint8Array(400 * 300 * 4) };
    dot.data[(120 * 400 + 250) * 4] = 255;
    const square = { x: 230.4, y: 110.9, sidePx: 180 };
    const out = cut(dot, square, 64);
    let sum = 0;
    let sx = 0;
    let sy = 0;
    for (let p = 0; p < 64 * 64; p++) {
      const value = out[p * 3] as number;
      sum += value;
      sx += value * (p % 64);
      sy += value * Math.floor(p / 64);
    }
    const found = toPicture(square, 64, sx / sum, sy / sum);
    // Half a cell of the cut: a dot within one cell shows at its centre.
    expect(Math.abs(found.x - 250)).toBeLessThan(180 / 64 / 2);
    expect(Math.abs(found.y - 120)).toBeLessThan(180 / 64 / 2);
  });

  it('mirrors: a mirrored cut of a picture is the cut of the mirrored picture', () => {
    const turned: Rgba = { ...picture, data: new Uint8Array(picture.data.length) };
    for (let y = 0; y < 43; y++) {
      for (let x = 0; x < 61; x++) {
        for (let c = 0; c < 4; c++) {
          (turned.data as Uint8Array)[(y * 61 + 60 - x) * 4 + c] = at(picture, x, y, c);
        }
      }
    }
    const a = mirroredInput(cut(picture, { x: 20, y: 20, sidePx: 40 }, 16), 16);
    const b = cut(turned, { x: 40, y: 20, sidePx: 40 }, 16);
    expect(Math.max(...a.map((value, i) => Math.abs(value - (b[i] as number))))).toBeLessThan(1e-3);
  });
});

function flat(y: number, u: number, v: number, matrix: Picture['matrix'], fullRange: boolean): Picture {
  return {
    timeS: 0,
    widthPx: 9,
    heightPx: 7,
    y: new Uint8Array(63).fill(y),
    u: new Uint8Array(20).fill(u),
    v: new Uint8Array(20).fill(v),
    matrix,
    fullRange,
    small,
  };
}

// ITU-R BT.601-7 and BT.709-6: 8-bit code values of pure colours (limited range: 219 steps of luma from 16, 224 of
// chroma about 128), rounded to whole numbers, hence +- 2.
describe('colour', () => {
  it.each<[string, Picture, [number, number, number]]>([
    ['black, limited', flat(16, 128, 128, 'bt709', false), [0, 0, 0]],
    ['white, limited', flat(235, 128, 128, 'bt601', false), [255, 255, 255]],
    ['red, BT.601', flat(81, 90, 240, 'bt601', false), [255, 0, 0]],
    ['green, BT.601', flat(145, 54, 34, 'bt601', false), [0, 255, 0]],
    ['blue, BT.601', flat(41, 240, 110, 'bt601', false), [0, 0, 255]],
    ['red, BT.709', flat(63, 102, 240, 'bt709', false), [255, 0, 0]],
    ['green, BT.709', flat(173, 42, 26, 'bt709', false), [0, 255, 0]],
    ['blue, BT.709', flat(32, 240, 118, 'bt709', false), [0, 0, 255]],
    ['red, full range (JFIF)', flat(76, 85, 255, 'bt601', true), [255, 0, 0]],
  ])('%s', (_, picture, rgb) => {
    const out = cut(picture, { x: 4, y: 3, sidePx: 6 }, 8);
    for (let c = 0; c < 3; c++) expect(Math.abs((out[c] as number) - (rgb[c] as number))).toBeLessThan(2.5);
  });

  it('chroma lies where luma lies', () => {
    const picture = flat(120, 128, 128, 'bt601', true);
    picture.u[2 * 5 + 3] = 228; // covers luma px x 6..7, y 4..5
    const out = cut(picture, { x: 4.5, y: 3.5, sidePx: 8 }, 8);
    const blue = (x: number, y: number): number => out[(y * 8 + x) * 3 + 2] as number;
    // The cut's px (i, j) is the picture's px (i + 1, j).
    expect(blue(5, 4)).toBeGreaterThan(170);
    expect(blue(6, 5)).toBeGreaterThan(170);
    expect(blue(3, 4)).toBeCloseTo(120, 0);
    expect(blue(5, 1)).toBeCloseTo(120, 0);
  });
});
