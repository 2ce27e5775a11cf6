import { HOOF, LIMBS } from '../points.ts';
import type { AllSeries } from './series.ts';

/** Hooves seen within this time of a frame show where the ground runs in the picture, s. */
const WINDOW_S = 1;

/**
 * How the ground under the hooves slopes in the picture along the path, px down per px to the right, at each frame:
 * regression over the hooves seen around that time. A path that is not square to the camera rises or falls.
 */
export function pathSlopes(timesS: readonly number[], all: AllSeries): number[] {
  // Running sums of n, x, y, xx, xy; frame i's own hooves are added at i + 1.
  const sums: number[][] = [[0, 0, 0, 0, 0]];
  const series = LIMBS.map((limb) => all[HOOF[limb]]);
  timesS.forEach((_, i) => {
    const next = [...(sums[i] ?? [])];
    for (const hoof of series) {
      const [x, y, w] = [hoof.x[i] ?? NaN, hoof.y[i] ?? NaN, hoof.score[i] ?? 0];
      if (w > 0) [w, w * x, w * y, w * x * x, w * x * y].forEach((v, k) => (next[k] = (next[k] ?? 0) + v));
    }
    sums.push(next);
  });
  let first = 0;
  let end = 0;
  return timesS.map((t) => {
    while ((timesS[first] ?? 0) < t - WINDOW_S) first++;
    while (end < timesS.length && (timesS[end] ?? 0) <= t + WINDOW_S) end++;
    const part = (k: number): number => (sums[end]?.[k] ?? 0) - (sums[first]?.[k] ?? 0);
    const [n, x, y, xx, xy] = [part(0), part(1), part(2), part(3), part(4)];
    const spread = xx - (x * x) / n;
    return n > 4 && spread > 1e-6 * xx ? Math.max(-0.5, Math.min(0.5, (xy - (x * y) / n) / spread)) : 0;
  });
}
