/** Planes of I420 pictures: sizes, turning, shrinking. Eight bits a sample, rows without padding. */
import type { GrayPicture, Picture } from './types.ts';

export type RotationDeg = 0 | 90 | 180 | 270;

export interface I420 {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly y: Uint8Array;
  readonly u: Uint8Array;
  readonly v: Uint8Array;
}

const half = (px: number): number => (px + 1) >> 1;

/** Bytes of an I420 picture of this size. */
export const i420Bytes = (widthPx: number, heightPx: number): number =>
  widthPx * heightPx + 2 * half(widthPx) * half(heightPx);

/** The three planes that lie one after the other in `bytes`, not copied. */
export function i420Of(bytes: Uint8Array, widthPx: number, heightPx: number): I420 {
  const luma = widthPx * heightPx;
  const chroma = half(widthPx) * half(heightPx);
  return {
    widthPx,
    heightPx,
    y: bytes.subarray(0, luma),
    u: bytes.subarray(luma, luma + chroma),
    v: bytes.subarray(luma + chroma, luma + 2 * chroma),
  };
}

const TILE_PX = 32;

/** Turns a plane a quarter clockwise (or, with `counter`, counter-clockwise); `to` becomes height x width. */
function quarterTurn(
  from: Uint8Array,
  widthPx: number,
  heightPx: number,
  to: Uint8Array,
  counter: boolean,
): void {
  // In tiles, so that reads and writes both stay within the processor's cache.
  for (let y0 = 0; y0 < heightPx; y0 += TILE_PX) {
    const y1 = Math.min(y0 + TILE_PX, heightPx);
    for (let x0 = 0; x0 < widthPx; x0 += TILE_PX) {
      const x1 = Math.min(x0 + TILE_PX, widthPx);
      for (let x = x0; x < x1; x++) {
        const row = (counter ? widthPx - 1 - x : x) * heightPx;
        for (let y = y0; y < y1; y++) {
          to[row + (counter ? y : heightPx - 1 - y)] = from[y * widthPx + x] ?? 0;
        }
      }
    }
  }
}

function turnPlane(
  from: Uint8Array,
  widthPx: number,
  heightPx: number,
  to: Uint8Array,
  by: RotationDeg,
): void {
  if (by === 0 || by === 180) {
    to.set(from);
    if (by === 180) to.reverse();
    return;
  }
  quarterTurn(from, widthPx, heightPx, to, by === 270);
}

/** Writes the picture turned clockwise into `to`, whose sides are swapped for a quarter turn. */
export function turn(picture: I420, by: RotationDeg, to: I420): void {
  const { widthPx, heightPx } = picture;
  turnPlane(picture.y, widthPx, heightPx, to.y, by);
  turnPlane(picture.u, half(widthPx), half(heightPx), to.u, by);
  turnPlane(picture.v, half(widthPx), half(heightPx), to.v, by);
}

/** Whole number of px that become one, so that the width is at most `maxWidthPx`. */
export const shrinkFactor = (widthPx: number, maxWidthPx: number): number =>
  Math.max(1, Math.ceil(widthPx / maxWidthPx));

/**
 * A plane shrunk by averaging squares of `factor` px; what is left over at the right and bottom edge is dropped.
 * Pixel (i, j) covers the px factor * i .. factor * (i + 1) - 1 of the plane: its centre lies at
 * factor * (i + 0.5) - 0.5.
 */
export function shrunk(
  plane: Uint8Array,
  widthPx: number,
  heightPx: number,
  factor: number,
  data: Uint8Array = new Uint8Array(shrunkBytes(widthPx, heightPx, factor)),
): GrayPicture {
  const to = { widthPx: Math.floor(widthPx / factor), heightPx: Math.floor(heightPx / factor), data };
  if (factor === 1) data.set(plane);
  else if (factor === 3 && widthPx % 12 === 0 && plane.byteOffset % 4 === 0) averageByThree(plane, to);
  else averageSquares(plane, widthPx, factor, to);
  return to;
}

export const shrunkBytes = (widthPx: number, heightPx: number, factor: number): number =>
  Math.floor(widthPx / factor) * Math.floor(heightPx / factor);

function averageSquares(plane: Uint8Array, widthPx: number, factor: number, to: GrayPicture): void {
  const area = factor * factor;
  for (let row = 0, at = 0; row < to.heightPx; row++) {
    for (let x = 0; x < to.widthPx; x++, at++) {
      let sum = area >> 1;
      let line = row * factor * widthPx + x * factor;
      for (let dy = 0; dy < factor; dy++, line += widthPx) {
        for (let from = line; from < line + factor; from++) sum += plane[from] ?? 0;
      }
      to.data[at] = sum / area;
    }
  }
}

/** Every other byte of a word, with room above each for sums. */
const EVEN_BYTES = 0x00ff00ff;
const BY_NINE = Math.ceil(65536 / 9);
const ninth = (sum: number): number => ((sum + 4) * BY_NINE) >>> 16;

/**
 * The way of every 1080p clip: four bytes at a time, a third of the time of `averageSquares`. The planes' bytes lie
 * in little-endian words, as on every machine with a browser.
 */
function averageByThree(plane: Uint8Array, to: GrayPicture): void {
  const words = new Uint32Array(plane.buffer, plane.byteOffset, plane.length >> 2);
  const line = (to.widthPx * 3) >> 2;
  const column = (at: number, shift: number): number =>
    (((words[at] as number) >>> shift) & EVEN_BYTES) +
    (((words[at + line] as number) >>> shift) & EVEN_BYTES) +
    (((words[at + 2 * line] as number) >>> shift) & EVEN_BYTES);
  for (let row = 0, out = 0; row < to.heightPx; row++) {
    for (let at = 3 * row * line; at < (3 * row + 1) * line; at += 3, out += 4) {
      // Columns 0 and 2 of each word in one number, 1 and 3 in the other.
      const even0 = column(at, 0);
      const odd0 = column(at, 8);
      const even1 = column(at + 1, 0);
      const odd1 = column(at + 1, 8);
      const even2 = column(at + 2, 0);
      const odd2 = column(at + 2, 8);
      to.data[out] = ninth((even0 & 0xffff) + (odd0 & 0xffff) + (even0 >>> 16));
      to.data[out + 1] = ninth((odd0 >>> 16) + (even1 & 0xffff) + (odd1 & 0xffff));
      to.data[out + 2] = ninth((even1 >>> 16) + (odd1 >>> 16) + (even2 & 0xffff));
      to.data[out + 3] = ninth((odd2 & 0xffff) + (even2 >>> 16) + (odd2 >>> 16));
    }
  }
}

/** `small` of a picture is at most this wide. */
export const SMALL_WIDTH_PX = 640;

/** The buffers to hand over with a picture (postMessage's transfer list). */
export function transferables(picture: Picture): ArrayBufferLike[] {
  return [...new Set([picture.y, picture.u, picture.v, picture.small.data].map((plane) => plane.buffer))];
}
