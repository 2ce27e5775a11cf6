import { STANDING_MARGIN_S, STANDING_SPEED, SPEED_WINDOW_S } from './settings.ts';
import type { Smoothed } from './smoother.ts';

/** Index of the last frame at or before / first frame at or after `timeS`, walking from i. */
const back = (timesS: readonly number[], i: number, timeS: number): number => {
  let k = i;
  while (k > 0 && (timesS[k] ?? 0) > timeS) k--;
  return k;
};
const on = (timesS: readonly number[], i: number, timeS: number): number => {
  let k = i;
  while (k < timesS.length - 1 && (timesS[k] ?? 0) < timeS) k++;
  return k;
};

/** Frames in which the point moves less than a standing hoof may. */
export function slowFrames(timesS: readonly number[], path: Smoothed, heightPx: Float64Array): boolean[] {
  return timesS.map((t, i) => {
    const half = SPEED_WINDOW_S / 2 - 1e-9;
    let [a, b] = [back(timesS, i, t - half), on(timesS, i, t + half)];
    if (!Number.isFinite(path.x[a] ?? NaN)) a = i;
    if (!Number.isFinite(path.x[b] ?? NaN)) b = i;
    const dt = (timesS[b] ?? 0) - (timesS[a] ?? 0);
    if (dt <= 0) return false;
    const way = Math.hypot((path.x[b] ?? 0) - (path.x[a] ?? 0), (path.y[b] ?? 0) - (path.y[a] ?? 0));
    return way / dt < STANDING_SPEED * (heightPx[i] ?? 1);
  });
}

/** Frames in which the point surely stands: slow, and slow for a while before and after. */
export function standingFrames(timesS: readonly number[], slow: readonly boolean[]): boolean[] {
  const out = [...slow];
  slow.forEach((isSlow, i) => {
    if (isSlow) return;
    const t = timesS[i] ?? 0;
    for (let k = i; k >= 0 && t - (timesS[k] ?? 0) <= STANDING_MARGIN_S; k--) out[k] = false;
    for (let k = i; k < slow.length && (timesS[k] ?? 0) - t <= STANDING_MARGIN_S; k++) out[k] = false;
  });
  return out;
}
