import { firstFrom } from '../track/times.ts';
import { regress, type Row } from './regression.ts';

export interface LocalFit {
  readonly value: number;
  /** Per second when the times are seconds. */
  readonly slope: number;
  readonly count: number;
}

/** A sample on the window's edge is in, however its time was rounded. */
const ROUNDING = 1e-9;

/**
 * Weighted least-squares polynomial through the samples within +-halfWindow of `at`, evaluated there.
 * On an even grid with even SDs it is the Savitzky-Golay filter (Savitzky & Golay 1964, Anal Chem 36:1627);
 * here times may be uneven, though they never fall, and samples may be missing. Null where too few samples lie in the
 * window.
 */
export function localPolynomial(
  times: readonly number[],
  values: readonly (number | null)[],
  at: number,
  halfWindow: number,
  degree: 1 | 2,
  sds?: readonly number[],
): LocalFit | null {
  if (degree === 1) return localLine(times, values, at, halfWindow, sds);
  const rows: Row[] = [];
  const reach = halfWindow * (1 + ROUNDING);
  for (let i = firstFrom(times, at - reach); (times[i] ?? Infinity) <= at + reach; i++) {
    const value = values[i];
    const dt = ((times[i] ?? 0) - at) / halfWindow;
    if (value === null || value === undefined) continue;
    rows.push({ x: [1, dt, dt * dt], y: value, sd: sds?.[i] ?? 1 });
  }
  if (rows.length <= degree) return null;
  const fit = regress(rows);
  if (fit === null) return null;
  return {
    value: fit.coefficients[0] ?? 0,
    slope: (fit.coefficients[1] ?? 0) / halfWindow,
    count: rows.length,
  };
}

/** The same for a straight line, in closed form: it is called for every hoof in every frame. */
function localLine(
  times: readonly number[],
  values: readonly (number | null)[],
  at: number,
  halfWindow: number,
  sds?: readonly number[],
): LocalFit | null {
  let [n, w, wt, wtt, wy, wty] = [0, 0, 0, 0, 0, 0];
  const reach = halfWindow * (1 + ROUNDING);
  for (let i = firstFrom(times, at - reach); (times[i] ?? Infinity) <= at + reach; i++) {
    const y = values[i];
    const t = (times[i] ?? 0) - at;
    if (y === null || y === undefined) continue;
    const weight = 1 / (sds?.[i] ?? 1) ** 2;
    n++;
    w += weight;
    wt += weight * t;
    wtt += weight * t * t;
    wy += weight * y;
    wty += weight * t * y;
  }
  const determinant = w * wtt - wt * wt;
  if (n < 2 || !(determinant > 1e-12 * w * wtt)) return null;
  return { value: (wtt * wy - wt * wty) / determinant, slope: (w * wty - wt * wy) / determinant, count: n };
}
