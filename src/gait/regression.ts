import { inverse, Matrix } from 'ml-matrix';

export interface Row {
  readonly x: readonly number[];
  readonly y: number;
  readonly sd: number;
}
export interface Regression {
  readonly coefficients: readonly number[];
  /** Standard errors from the given SDs, not from the residuals. */
  readonly sds: readonly number[];
  readonly residuals: readonly number[];
}

const residualsOf = (rows: readonly Row[], coefficients: readonly number[]): number[] =>
  rows.map((r) => r.y - r.x.reduce((sum, v, i) => sum + v * (coefficients[i] ?? 0), 0));

/** Sums of the normal equations: the columns' products with each other and with the right side, by weight. */
function normalEquations(rows: readonly Row[], columns: number): { normal: Matrix; right: Matrix } {
  const normal = Matrix.zeros(columns, columns);
  const right = Matrix.zeros(columns, 1);
  for (const { x, y, sd } of rows) {
    const weight = 1 / (sd * sd);
    for (let i = 0; i < columns; i++) {
      const weighted = weight * (x[i] ?? 0);
      right.set(i, 0, right.get(i, 0) + weighted * y);
      for (let k = 0; k < columns; k++) normal.set(i, k, normal.get(i, k) + weighted * (x[k] ?? 0));
    }
  }
  return { normal, right };
}

/** Weighted linear least squares by the normal equations; null where they are singular. */
export function regress(rows: readonly Row[]): Regression | null {
  const columns = rows[0]?.x.length ?? 0;
  if (columns === 0 || rows.length < columns) return null;
  const { normal, right } = normalEquations(rows, columns);
  let covariance: Matrix;
  try {
    covariance = inverse(normal);
  } catch {
    return null;
  }
  const coefficients = covariance.mmul(right).to1DArray();
  const sds = coefficients.map((_, i) => Math.sqrt(covariance.get(i, i)));
  if (![...coefficients, ...sds].every(Number.isFinite)) return null;
  return { coefficients, sds, residuals: residualsOf(rows, coefficients) };
}

/** The same, with rows far off (Huber's weights, k = 2 SD of the residuals) given less weight, three rounds. */
export function robustRegress(rows: readonly Row[]): Regression | null {
  let current = rows;
  let fit = regress(rows);
  for (let round = 0; round < 3 && fit !== null; round++) {
    const shares = fit.residuals.map((r, i) => Math.abs(r) / (rows[i]?.sd ?? 1));
    const scale = Math.max(
      1,
      1.4826 * ([...shares].sort((a, b) => a - b)[Math.floor(shares.length / 2)] ?? 1),
    );
    current = rows.map((r, i) => {
      const excess = (shares[i] ?? 0) / (2 * scale);
      return excess > 1 ? { ...r, sd: r.sd * Math.sqrt(excess) } : r;
    });
    fit = regress(current);
  }
  return fit && { ...fit, residuals: residualsOf(rows, fit.coefficients) };
}
