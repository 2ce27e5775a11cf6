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

/** Weighted linear least squares by the normal equations; null where they are singular. */
export function regress(rows: readonly Row[]): Regression | null {
  const columns = rows[0]?.x.length ?? 0;
  if (columns === 0 || rows.length < columns) return null;
  const design = new Matrix(rows.map((r) => r.x.map((v) => v / r.sd)));
  const right = Matrix.columnVector(rows.map((r) => r.y / r.sd));
  const normal = design.transpose().mmul(design);
  let covariance: Matrix;
  try {
    covariance = inverse(normal);
  } catch {
    return null;
  }
  const solution = covariance.mmul(design.transpose()).mmul(right);
  const coefficients = solution.to1DArray();
  const sds = coefficients.map((_, i) => Math.sqrt(covariance.get(i, i)));
  if (![...coefficients, ...sds].every(Number.isFinite)) return null;
  const residuals = rows.map((r) => r.y - r.x.reduce((s, v, i) => s + v * (coefficients[i] ?? 0), 0));
  return { coefficients, sds, residuals };
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
  return fit === null
    ? null
    : {
        ...fit,
        residuals: rows.map((r) => r.y - r.x.reduce((s, v, i) => s + v * (fit.coefficients[i] ?? 0), 0)),
      };
}
