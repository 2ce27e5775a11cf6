import type { Box } from '../clip/types.ts';
import type { HorsePose } from './types.ts';

export const area = (box: Box): number => Math.max(0, box[2] - box[0]) * Math.max(0, box[3] - box[1]);
export const centreOf = (box: Box): { x: number; y: number } => ({
  x: (box[0] + box[2]) / 2,
  y: (box[1] + box[3]) / 2,
});

/** Area that two boxes share. */
export function shared(a: Box, b: Box): number {
  const width = Math.max(0, Math.min(a[2], b[2]) - Math.max(a[0], b[0]));
  const height = Math.max(0, Math.min(a[3], b[3]) - Math.max(a[1], b[1]));
  return width * height;
}

/** Overlap of two boxes as a share of their union. */
export function overlap(a: Box, b: Box): number {
  const both = shared(a, b);
  const union = area(a) + area(b) - both;
  return union > 0 ? both / union : 0;
}

/** The element for which `value` is highest; undefined for an empty list. */
export function best<T>(list: readonly T[], value: (one: T) => number): T | undefined {
  let found: T | undefined;
  let top = -Infinity;
  for (const one of list) {
    const here = value(one);
    if (here > top) [found, top] = [one, here];
  }
  return found;
}

/** Smallest box around the points of at least this score; null for fewer than three. */
export function boxOfPoints(points: HorsePose['points'], minScore: number): Box | null {
  const seen = Object.values(points).filter((p) => p.score >= minScore);
  if (seen.length < 3) return null;
  const xs = seen.map((p) => p.x);
  const ys = seen.map((p) => p.y);
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}
