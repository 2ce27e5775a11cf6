/**
 * Cuts a square out of a picture for a network. Picture px have their centres at whole numbers, so a picture of
 * w px spans -0.5 .. w - 0.5. What lies outside the picture repeats its border, as in training.
 */
import type { Box, Picture } from '../clip/types.ts';

/** A still picture as the canvas gives it. */
export interface Rgba {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly data: Uint8Array | Uint8ClampedArray;
}
export type Source = Picture | Rgba;

/** Square part of a picture: centre and side, picture px. */
export interface Square {
  readonly x: number;
  readonly y: number;
  readonly sidePx: number;
}

interface Plane {
  readonly data: Uint8Array | Uint8ClampedArray;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Bytes from one px to the next, and of the first. */
  readonly step: number;
  readonly offset: number;
}

/** For output px i: weights of the source px first[i] .. first[i] + count[i] - 1, from `at[i]` on. */
interface Taps {
  readonly first: Int32Array;
  readonly count: Int32Array;
  readonly at: Int32Array;
  readonly weights: Float64Array;
}

/** Square that holds the box with `margin` times its longer side. */
export function squareAround(box: Box, margin: number): Square {
  const sidePx = Math.max(box[2] - box[0], box[3] - box[1], 1) * margin;
  return { x: (box[0] + box[2]) / 2, y: (box[1] + box[3]) / 2, sidePx };
}

/** The whole picture, centred in the smallest square that holds it. */
export function wholePicture(source: Source): Square {
  return squareAround([-0.5, -0.5, source.widthPx - 0.5, source.heightPx - 0.5], 1);
}

/** Picture px of a point given in px of the cut of `outPx` (pixel centres at whole numbers in both). */
export function toPicture(square: Square, outPx: number, xPx: number, yPx: number): { x: number; y: number } {
  const perPx = square.sidePx / outPx;
  return {
    x: square.x + (xPx + 0.5 - outPx / 2) * perPx,
    y: square.y + (yPx + 0.5 - outPx / 2) * perPx,
  };
}

/** The inverse of `toPicture`. */
export function toCut(square: Square, outPx: number, x: number, y: number): { x: number; y: number } {
  const perPx = square.sidePx / outPx;
  return { x: (x - square.x) / perPx + outPx / 2 - 0.5, y: (y - square.y) / perPx + outPx / 2 - 0.5 };
}

/**
 * Weights along one axis: overlap of areas when shrinking, linear interpolation when enlarging.
 * `edge` is where the cut begins, in px edges (the left edge of px 0 is 0); px beyond the ends count for the end.
 */
function tapsAlong(edge: number, side: number, outPx: number, size: number): Taps {
  const scale = side / outPx;
  const most = Math.ceil(Math.max(scale, 1)) + 2;
  const taps: Taps = {
    first: new Int32Array(outPx),
    count: new Int32Array(outPx),
    at: new Int32Array(outPx),
    weights: new Float64Array(outPx * most),
  };
  for (let i = 0; i < outPx; i++) {
    // Enlarging: a window of one source px around the centre gives just the two linear weights.
    const width = Math.max(scale, 1);
    const from = edge + (i + 0.5) * scale - width / 2;
    const to = from + width;
    const first = Math.min(size - 1, Math.max(0, Math.floor(from)));
    const last = Math.max(first, Math.min(size - 1, Math.ceil(to) - 1));
    taps.first[i] = first;
    taps.count[i] = last - first + 1;
    taps.at[i] = i * most;
    let rest = 1;
    for (let j = last; j > first; j--) {
      const low = Math.max(from, j);
      const weight = Math.max(0, (j === size - 1 ? to : Math.min(to, j + 1)) - low) / width;
      taps.weights[i * most + j - first] = weight;
      rest -= weight;
    }
    taps.weights[i * most] = rest;
  }
  return taps;
}

/** Weighted sum of the rows of one output row, for the columns from x0 on, into `sums`. Two rows at a time. */
function sumRows(plane: Plane, down: Taps, row: number, x0: number, sums: Float64Array): void {
  const { data, step } = plane;
  const stridePx = plane.widthPx * step;
  const count = down.count[row] as number;
  const at = down.at[row] as number;
  let p = (down.first[row] as number) * stridePx + x0 * step + plane.offset;
  for (let t = 0; t < count; t += 2, p += 2 * stridePx) {
    const wa = down.weights[at + t] as number;
    const wb = t + 1 < count ? (down.weights[at + t + 1] as number) : 0;
    const below = wb === 0 ? 0 : stridePx;
    if (t === 0) {
      for (let i = 0, q = p; i < sums.length; i++, q += step) {
        sums[i] = wa * (data[q] as number) + wb * (data[q + below] as number);
      }
    } else {
      for (let i = 0, q = p; i < sums.length; i++, q += step) {
        sums[i] = (sums[i] as number) + wa * (data[q] as number) + wb * (data[q + below] as number);
      }
    }
  }
}

/** The square (px of this plane) as outPx x outPx values 0..255. */
function cutPlane(plane: Plane, square: Square, outPx: number): Float32Array {
  const half = square.sidePx / 2;
  const across = tapsAlong(square.x + 0.5 - half, square.sidePx, outPx, plane.widthPx);
  const down = tapsAlong(square.y + 0.5 - half, square.sidePx, outPx, plane.heightPx);
  const { first, count, at, weights } = across;
  const x0 = first[0] as number;
  const columns = (first[outPx - 1] as number) + (count[outPx - 1] as number) - x0;
  const sums = new Float64Array(columns);
  const out = new Float32Array(outPx * outPx);
  for (let j = 0, o = 0; j < outPx; j++) {
    sumRows(plane, down, j, x0, sums);
    for (let i = 0; i < outPx; i++, o++) {
      let w = at[i] as number;
      let q = (first[i] as number) - x0;
      let sum = 0;
      for (const end = w + (count[i] as number); w < end; w++, q++) {
        sum += (weights[w] as number) * (sums[q] as number);
      }
      out[o] = sum;
    }
  }
  return out;
}

interface ColourWeights {
  readonly luma: number;
  readonly black: number;
  readonly redV: number;
  readonly greenU: number;
  readonly greenV: number;
  readonly blueU: number;
}

/** From Kr, Kb of ITU-R BT.601 (0.299, 0.114) and BT.709 (0.2126, 0.0722); limited range 16..235 / 16..240. */
function colourWeights(matrix: Picture['matrix'], fullRange: boolean): ColourWeights {
  const [kr, kb] = matrix === 'bt709' ? [0.2126, 0.0722] : [0.299, 0.114];
  const kg = 1 - kr - kb;
  const chroma = fullRange ? 1 : 255 / 224;
  return {
    luma: fullRange ? 1 : 255 / 219,
    black: fullRange ? 0 : 16,
    redV: 2 * (1 - kr) * chroma,
    greenU: (-2 * kb * (1 - kb) * chroma) / kg,
    greenV: (-2 * kr * (1 - kr) * chroma) / kg,
    blueU: 2 * (1 - kb) * chroma,
  };
}

/** How 0..255 is written: value * gain + offset. */
interface Scaling {
  readonly gain: number;
  readonly offset: number;
}
const asBytes: Scaling = { gain: 1, offset: 0 };
const aboutZero: Scaling = { gain: 1 / 127.5, offset: -1 };

function cutPicture(picture: Picture, square: Square, outPx: number, to: Scaling): Float32Array {
  const { widthPx, heightPx } = picture;
  const chromaSize = { widthPx: (widthPx + 1) >> 1, heightPx: (heightPx + 1) >> 1, step: 1, offset: 0 };
  // Chroma px cover two luma px each way; whole-number centres: c = (l - 0.5) / 2.
  const chromaSquare = { x: (square.x - 0.5) / 2, y: (square.y - 0.5) / 2, sidePx: square.sidePx / 2 };
  const y = cutPlane({ data: picture.y, widthPx, heightPx, step: 1, offset: 0 }, square, outPx);
  const u = cutPlane({ data: picture.u, ...chromaSize }, chromaSquare, outPx);
  const v = cutPlane({ data: picture.v, ...chromaSize }, chromaSquare, outPx);
  const k = colourWeights(picture.matrix, picture.fullRange);
  const out = new Float32Array(outPx * outPx * 3);
  for (let i = 0, o = 0; i < y.length; i++, o += 3) {
    const luma = ((y[i] as number) - k.black) * k.luma;
    const du = (u[i] as number) - 128;
    const dv = (v[i] as number) - 128;
    const red = luma + k.redV * dv;
    const green = luma + k.greenU * du + k.greenV * dv;
    const blue = luma + k.blueU * du;
    out[o] = (red < 0 ? 0 : red > 255 ? 255 : red) * to.gain + to.offset;
    out[o + 1] = (green < 0 ? 0 : green > 255 ? 255 : green) * to.gain + to.offset;
    out[o + 2] = (blue < 0 ? 0 : blue > 255 ? 255 : blue) * to.gain + to.offset;
  }
  return out;
}

function cutRgba(picture: Rgba, square: Square, outPx: number, to: Scaling): Float32Array {
  const out = new Float32Array(outPx * outPx * 3);
  for (let c = 0; c < 3; c++) {
    const plane = cutPlane({ ...picture, step: 4, offset: c }, square, outPx);
    for (let i = 0; i < plane.length; i++) out[i * 3 + c] = (plane[i] as number) * to.gain + to.offset;
  }
  return out;
}

function cutScaled(source: Source, square: Square, outPx: number, to: Scaling): Float32Array {
  return 'y' in source ? cutPicture(source, square, outPx, to) : cutRgba(source, square, outPx, to);
}

/** The square of a picture as outPx x outPx x RGB, 0..255, row by row. */
export function cut(source: Source, square: Square, outPx: number): Float32Array {
  return cutScaled(source, square, outPx, asBytes);
}

/** As `cut`, scaled to -1..1: the input of the keypoint network. */
export function cutForNetwork(source: Source, square: Square, outPx: number): Float32Array {
  return cutScaled(source, square, outPx, aboutZero);
}

/** The same input seen in a mirror (left and right exchanged). */
export function mirroredInput(input: Float32Array, outPx: number): Float32Array {
  const out = new Float32Array(input.length);
  for (let y = 0; y < outPx; y++) {
    for (let x = 0; x < outPx; x++) {
      const from = (y * outPx + x) * 3;
      const to = (y * outPx + outPx - 1 - x) * 3;
      out[to] = input[from] as number;
      out[to + 1] = input[from + 1] as number;
      out[to + 2] = input[from + 2] as number;
    }
  }
  return out;
}
