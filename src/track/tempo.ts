import type { Series } from './series.ts';

/**
 * A walking horse goes about .8 withers heights a second (measured on the trajectories of Niknejad et al. 2023,
 * J ASABE 66:865: .76, SD .13).
 */
const USUAL_SPEED = 0.8;
/** Way over which the speed is taken, withers heights: about a third of a stride. */
const WAY = 0.35;
const MOST = 64;

/** As a share of the picture's longer side, as for phones' main cameras (common practice, no source). */
const FOCAL_SHARE = 0.75;
/** Tangent of the steepest path that counts as a side view. */
const STEEPEST = 0.75;

/**
 * How much longer the path is than it looks: 1 / cos of its angle to the picture plane, as the height of the horse
 * changes along it (least squares over the places of the withers).
 */
function foreshortened(withers: Series, heightPx: Float64Array, longSidePx: number): number {
  let [n, x, h, xx, xh] = [0, 0, 0, 0, 0];
  withers.x.forEach((at, i) => {
    if ((withers.score[i] ?? 0) <= 0) return;
    const height = heightPx[i] ?? 0;
    [n, x, h, xx, xh] = [n + 1, x + at, h + height, xx + at * at, xh + at * height];
  });
  const spread = xx - (x * x) / n;
  if (!(n > 2) || !(spread > 0) || !(h > 0)) return 1;
  const slope = (xh - (x * h) / n) / spread;
  const tan = (slope * FOCAL_SHARE * longSidePx) / (h / n);
  return Math.hypot(1, Math.min(STEEPEST, Math.abs(tan)));
}

/** Speed along the picture while the horse walks, withers heights per second: the upper quartile; null where it doesn't. */
function walkingSpeed(timesS: readonly number[], withers: Series, heightPx: Float64Array): number | null {
  const at = timesS.flatMap((_, i) => ((withers.score[i] ?? 0) > 0 ? [i] : []));
  const speeds: number[] = [];
  let k = 0;
  for (const i of at) {
    const h = heightPx[i] ?? 1;
    const way = (j: number): number => Math.abs((withers.x[j] ?? 0) - (withers.x[i] ?? 0)) / h;
    while (k < at.length && ((at[k] ?? 0) <= i || way(at[k] ?? 0) < WAY)) k++;
    const j = at[k];
    if (j === undefined) break;
    speeds.push(way(j) / ((timesS[j] ?? 0) - (timesS[i] ?? 0)));
  }
  return speeds.sort((a, b) => a - b)[Math.floor(0.75 * speeds.length)] ?? null;
}

/**
 * How many times slower than a usual walk the horse goes in this clip. What is known of how points move holds for
 * strides, not for seconds: the track of a slow horse, or of a clip played at half speed, is made in the horse's own
 * time. 1 for one that goes faster.
 */
export function slowedBy(
  timesS: readonly number[],
  withers: Series,
  heightPx: Float64Array,
  longSidePx: number,
): number {
  const speed = walkingSpeed(timesS, withers, heightPx);
  if (speed === null || !(speed > 0)) return 1;
  return Math.min(MOST, Math.max(1, USUAL_SPEED / (speed * foreshortened(withers, heightPx, longSidePx))));
}
