import { regress, type Row } from './regression.ts';

export interface LocalFit {
  readonly value: number;
  /** Per second when the times are seconds. */
  readonly slope: number;
  readonly count: number;
}

/**
 * Weighted least-squares polynomial through the samples within +-halfWindow of `at`, evaluated there.
 * On an even grid with even SDs it is the Savitzky-Golay filter (Savitzky & Golay 1964, Anal Chem 36:1627);
 * here frame times may be uneven and samples may be missing. Null where too few samples lie in the window.
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
  for (let i = 0; i < times.length; i++) {
    const value = values[i];
    const dt = ((times[i] ?? 0) - at) / halfWindow;
    if (value === null || value === undefined || Math.abs(dt) > 1 + 1e-9) continue;
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
  for (let i = 0; i < times.length; i++) {
    const y = values[i];
    const t = (times[i] ?? 0) - at;
    if (y === null || y === undefined || Math.abs(t) > halfWindow * (1 + 1e-9)) continue;
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
