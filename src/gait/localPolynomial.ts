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
  const rows: Row[] = [];
  for (let i = 0; i < times.length; i++) {
    const value = values[i];
    const dt = ((times[i] ?? 0) - at) / halfWindow;
    if (value === null || value === undefined || Math.abs(dt) > 1 + 1e-9) continue;
    rows.push({ x: degree === 1 ? [1, dt] : [1, dt, dt * dt], y: value, sd: sds?.[i] ?? 1 });
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
