import type { Box } from '../clip/types.ts';
import type { Point } from '../track/similarity.ts';
import type { Cv, Mat } from './opencv.ts';

/** Corners that are looked for, at most, in the ground band and in the rest of the picture. */
const MAX_BAND_CORNERS = 120;
const MAX_OTHER_CORNERS = 60;
const CORNER_QUALITY = 0.01;
const CORNER_DISTANCE_PX = 9;
/** Lucas-Kanade window; corners this close to the picture's edge or to a mask would see what moves by itself. */
const WINDOW_PX = 15;
const PYRAMID_LEVELS = 3;
/** A corner followed there and back must return to its place within this. */
const RETURN_PX = 0.4;

export interface Feature extends Point {
  /** In the band of ground on which the horse walks. */
  readonly band: boolean;
}

export const inside = (box: Box, p: Point, marginPx = 0): boolean =>
  p.x >= box[0] - marginPx &&
  p.x <= box[2] + marginPx &&
  p.y >= box[1] - marginPx &&
  p.y <= box[3] + marginPx;

function maskMat(
  cv: Cv,
  width: number,
  height: number,
  rows: readonly [number, number],
  masks: readonly Box[],
): Mat {
  const mask = new cv.Mat(height, width, cv.CV_8UC1);
  const clamp = (v: number, max: number): number => Math.max(0, Math.min(max, Math.round(v)));
  const edge = Math.ceil(WINDOW_PX / 2);
  mask.data.fill(0);
  for (let y = clamp(rows[0], height - edge); y < clamp(rows[1], height - edge); y++) {
    if (y >= edge) mask.data.fill(255, y * width + edge, (y + 1) * width - edge);
  }
  for (const [x0, y0, x1, y1] of masks) {
    for (let y = clamp(y0, height); y < clamp(y1, height); y++) {
      mask.data.fill(0, y * width + clamp(x0, width), y * width + clamp(x1, width));
    }
  }
  return mask;
}

function corners(cv: Cv, image: Mat, mask: Mat, most: number, band: boolean): Feature[] {
  const found = new cv.Mat();
  cv.goodFeaturesToTrack(image, found, most, CORNER_QUALITY, CORNER_DISTANCE_PX, mask, 5);
  const features = Array.from({ length: found.rows }, (_, i) => ({
    x: found.data32F[2 * i] ?? 0,
    y: found.data32F[2 * i + 1] ?? 0,
    band,
  }));
  found.delete();
  mask.delete();
  return features;
}

/** Corners of the still surroundings: first of the rows of ground `band`, then of all the rest. */
export function findFeatures(
  cv: Cv,
  image: Mat,
  band: readonly [number, number],
  masks: readonly Box[],
): Feature[] {
  const [width, height] = [image.cols, image.rows];
  const bandBox: Box = [0, band[0], width, band[1]];
  const ground = corners(cv, image, maskMat(cv, width, height, band, masks), MAX_BAND_CORNERS, true);
  const rest = maskMat(cv, width, height, [0, height], [...masks, bandBox]);
  return [...ground, ...corners(cv, image, rest, MAX_OTHER_CORNERS, false)];
}

function matOf(cv: Cv, points: readonly Point[]): Mat {
  const mat = new cv.Mat(points.length, 1, cv.CV_32FC2);
  points.forEach((p, i) => mat.data32F.set([p.x, p.y], 2 * i));
  return mat;
}

/**
 * Pyramidal Lucas-Kanade from `from` to `to`, starting at `guess`, and back again (forward-backward check:
 * Kalal et al. 2010, ICPR). Null where a point was lost.
 */
export function follow(
  cv: Cv,
  from: Mat,
  to: Mat,
  points: readonly Point[],
  guess: readonly Point[],
): (Point | null)[] {
  if (points.length === 0) return [];
  const start = matOf(cv, points);
  const there = matOf(cv, guess);
  const back = matOf(cv, points);
  const [status, backStatus, error] = [new cv.Mat(), new cv.Mat(), new cv.Mat()];
  const window = new cv.Size(WINDOW_PX, WINDOW_PX);
  const stop = new cv.TermCriteria(cv.TermCriteria_COUNT + cv.TermCriteria_EPS, 12, 0.02);
  const flags = cv.OPTFLOW_USE_INITIAL_FLOW;
  cv.calcOpticalFlowPyrLK(from, to, start, there, status, error, window, PYRAMID_LEVELS, stop, flags, 1e-3);
  cv.calcOpticalFlowPyrLK(to, from, there, back, backStatus, error, window, 0, stop, flags, 1e-3);
  const result = points.map((p, i) => {
    const [x, y] = [there.data32F[2 * i] ?? NaN, there.data32F[2 * i + 1] ?? NaN];
    const [bx, by] = [back.data32F[2 * i] ?? NaN, back.data32F[2 * i + 1] ?? NaN];
    const kept =
      status.data[i] === 1 && backStatus.data[i] === 1 && Math.hypot(bx - p.x, by - p.y) <= RETURN_PX;
    const seen = x >= 0 && y >= 0 && x < to.cols && y < to.rows;
    return kept && seen ? { x, y } : null;
  });
  for (const mat of [start, there, back, status, backStatus, error]) mat.delete();
  return result;
}
