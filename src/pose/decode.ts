/**
 * From heatmaps to points. Sub-cell decoding: the peak of a Gaussian is where a second-order Taylor expansion of
 * its logarithm says it is (Zhang et al. 2020, Distribution-aware coordinate representation for human pose
 * estimation, CVPR, eq. 3 - 8).
 */

/** Row by row, channels last, as tfjs gives it. */
export interface Heatmaps {
  readonly data: Float32Array;
  readonly height: number;
  readonly width: number;
  readonly channels: number;
}

/** Peak of one channel in cells (cell centres at whole numbers) and its height. */
export interface Peak {
  readonly x: number;
  readonly y: number;
  readonly score: number;
}

const least = 1e-10;
/** A peak of a smooth map lies within its cell; a little more allows for noise. */
const farthestCells = 0.75;

const asScore = (height: number): number => Math.min(1, Math.max(0, height));

/** Offset of the maximum of the Taylor expansion at (x, y), cells; zero where the map has no proper peak. */
function taylorOffset(log: (x: number, y: number) => number): { dx: number; dy: number } {
  const centre = log(0, 0);
  const gx = (log(1, 0) - log(-1, 0)) / 2;
  const gy = (log(0, 1) - log(0, -1)) / 2;
  const hxx = log(1, 0) - 2 * centre + log(-1, 0);
  const hyy = log(0, 1) - 2 * centre + log(0, -1);
  const hxy = (log(1, 1) - log(1, -1) - log(-1, 1) + log(-1, -1)) / 4;
  const det = hxx * hyy - hxy * hxy;
  if (!(det > 1e-12) || hxx >= 0) return { dx: 0, dy: 0 };
  const dx = (hxy * gy - hyy * gx) / det;
  const dy = (hxy * gx - hxx * gy) / det;
  const within = (d: number): number => Math.min(farthestCells, Math.max(-farthestCells, d));
  return { dx: within(dx), dy: within(dy) };
}

/** Offset by a quarter cell towards the higher neighbour: the older rule, kept for comparison and for borders. */
function quarterOffset(value: (x: number, y: number) => number): { dx: number; dy: number } {
  return {
    dx: Math.sign(value(1, 0) - value(-1, 0)) / 4,
    dy: Math.sign(value(0, 1) - value(0, -1)) / 4,
  };
}

function peakCell(maps: Heatmaps, channel: number): number {
  const { data, channels } = maps;
  let best = channel;
  for (let i = channel; i < data.length; i += channels) {
    if ((data[i] as number) > (data[best] as number)) best = i;
  }
  return (best - channel) / channels;
}

/** Highest place of one channel. */
export function decodePeak(maps: Heatmaps, channel: number, rule: 'taylor' | 'quarter' = 'taylor'): Peak {
  const cell = peakCell(maps, channel);
  const x = cell % maps.width;
  const y = Math.floor(cell / maps.width);
  const value = (dx: number, dy: number): number => {
    const cx = Math.min(maps.width - 1, Math.max(0, x + dx));
    const cy = Math.min(maps.height - 1, Math.max(0, y + dy));
    return maps.data[(cy * maps.width + cx) * maps.channels + channel] as number;
  };
  const inside = x > 0 && y > 0 && x < maps.width - 1 && y < maps.height - 1;
  const offset =
    rule === 'taylor' && inside
      ? taylorOffset((dx, dy) => Math.log(Math.max(least, value(dx, dy))))
      : quarterOffset(value);
  return { x: x + offset.dx, y: y + offset.dy, score: asScore(value(0, 0)) };
}

/** Peaks of the first `count` channels. */
export function decodePeaks(maps: Heatmaps, count: number): Peak[] {
  return Array.from({ length: count }, (_, channel) => decodePeak(maps, channel));
}

/** Input px (centres at whole numbers) of a place in cells: cell i spans `stridePx` px. */
export const cellToPx = (cell: number, stridePx: number): number => (cell + 0.5) * stridePx - 0.5;

/** Maps whose places hold squares of `fold` x `fold` cells, row by row, each with all channels: as one place a cell. */
export function unfolded(maps: Heatmaps, fold: number): Heatmaps {
  if (fold === 1) return maps;
  const [width, height, channels] = [maps.width * fold, maps.height * fold, maps.channels / (fold * fold)];
  const data = new Float32Array(maps.data.length);
  for (let cell = 0; cell < width * height; cell++) {
    const x = cell % width;
    const y = Math.floor(cell / width);
    const place = Math.floor(y / fold) * maps.width + Math.floor(x / fold);
    const from = place * maps.channels + ((y % fold) * fold + (x % fold)) * channels;
    data.set(maps.data.subarray(from, from + channels), cell * channels);
  }
  return { width, height, channels, data };
}

/** Adds the heatmaps of the mirrored picture: turned back, names exchanged; the mean of both. */
export function meanWithMirrored(maps: Heatmaps, mirrored: Heatmaps, nameOf: readonly number[]): Heatmaps {
  const { width, height, channels } = maps;
  const data = new Float32Array(maps.data.length);
  for (let cell = 0; cell < width * height; cell++) {
    const x = cell % width;
    const turned = cell - x + (width - 1 - x);
    for (let c = 0; c < channels; c++) {
      const other = mirrored.data[turned * channels + (nameOf[c] ?? c)] as number;
      data[cell * channels + c] = ((maps.data[cell * channels + c] as number) + other) / 2;
    }
  }
  return { width, height, channels, data };
}
