/** What a smoother sees of one point. All arrays have one entry a frame. */
export interface Looks {
  readonly timesS: readonly number[];
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Variance of x and of y, px^2; infinite where the point was not seen. */
  readonly variance: Float64Array;
  /** Spectral density of the acceleration, px^2/s^3. */
  readonly density: Float64Array;
}

export interface Smoothed {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly vx: Float64Array;
  readonly vy: Float64Array;
  /** Variance of x and of y, px^2. */
  readonly variance: Float64Array;
}

/** Time in which a point would have got up its speed, s: so long that the first speed is as good as unknown. */
const UNKNOWN_SPEED_S = 1e4;

/** Columns of the filter's memory: predicted covariance (3) and state (4), filtered covariance (3). */
const WIDTH = 10;

/**
 * Forward-backward smoother (Rauch, Tung & Striebel 1965, AIAA J 3:1445) of a point with constant velocity and
 * white acceleration, at irregular times. x and y share one covariance. Entries outside the first and the last
 * look are NaN with infinite variance.
 */
export function smooth(looks: Looks): Smoothed {
  const n = looks.timesS.length;
  const nan = (): Float64Array => new Float64Array(n).fill(NaN);
  const out = { x: nan(), y: nan(), vx: nan(), vy: nan(), variance: new Float64Array(n).fill(Infinity) };
  const first = looks.variance.findIndex(Number.isFinite);
  if (first < 0) return out;
  const last = looks.variance.findLastIndex(Number.isFinite);
  const memory = new Float64Array(n * WIDTH);
  filter(looks, first, last, out, memory);
  smoothBack(looks.timesS, first, last, out, memory);
  return out;
}

function filter(looks: Looks, first: number, last: number, out: Smoothed, memory: Float64Array): void {
  let [x, y, vx, vy] = [looks.x[first] ?? 0, looks.y[first] ?? 0, 0, 0];
  const r0 = looks.variance[first] ?? 1;
  // Position as seen, velocity unknown: so wide that it weighs nothing.
  let [pp, pv, vv] = [1e6 * r0, 0, UNKNOWN_SPEED_S * (looks.density[first] ?? 1)];
  for (let i = first; i <= last; i++) {
    if (i > first) {
      const dt = (looks.timesS[i] ?? 0) - (looks.timesS[i - 1] ?? 0);
      const q = 0.5 * ((looks.density[i] ?? 0) + (looks.density[i - 1] ?? 0));
      x += vx * dt;
      y += vy * dt;
      pp += 2 * dt * pv + dt * dt * vv + (q * dt * dt * dt) / 3;
      pv += dt * vv + (q * dt * dt) / 2;
      vv += q * dt;
    }
    const row = i * WIDTH;
    memory[row] = pp;
    memory[row + 1] = pv;
    memory[row + 2] = vv;
    memory[row + 3] = x;
    memory[row + 4] = y;
    memory[row + 5] = vx;
    memory[row + 6] = vy;
    const r = looks.variance[i] ?? Infinity;
    if (Number.isFinite(r)) {
      const [kp, kv] = [pp / (pp + r), pv / (pp + r)];
      const [ex, ey] = [(looks.x[i] ?? 0) - x, (looks.y[i] ?? 0) - y];
      x += kp * ex;
      y += kp * ey;
      vx += kv * ex;
      vy += kv * ey;
      vv -= kv * pv;
      pv *= 1 - kp;
      pp = (pp * r) / (pp + r);
    }
    memory[row + 7] = pp;
    memory[row + 8] = pv;
    memory[row + 9] = vv;
    out.x[i] = x;
    out.y[i] = y;
    out.vx[i] = vx;
    out.vy[i] = vy;
    out.variance[i] = pp;
  }
}

function smoothBack(
  timesS: readonly number[],
  first: number,
  last: number,
  out: Smoothed,
  memory: Float64Array,
): void {
  const at = (i: number, k: number): number => memory[i * WIDTH + k] ?? 0;
  let [sp, sv, sw] = [at(last, 7), at(last, 8), at(last, 9)];
  for (let i = last - 1; i >= first; i--) {
    const j = i + 1;
    const dt = (timesS[j] ?? 0) - (timesS[i] ?? 0);
    const [fp, fv, fw] = [at(i, 7), at(i, 8), at(i, 9)];
    const [pp, pv, vv] = [at(j, 0), at(j, 1), at(j, 2)];
    const det = pp * vv - pv * pv;
    // Gain C = P F' / P-: rows of P F' are (a, fv) and (b, fw).
    const [a, b] = [fp + dt * fv, fv + dt * fw];
    const [c00, c01] = [(a * vv - fv * pv) / det, (fv * pp - a * pv) / det];
    const [c10, c11] = [(b * vv - fw * pv) / det, (fw * pp - b * pv) / det];
    const [ex, ey] = [(out.x[j] ?? 0) - at(j, 3), (out.y[j] ?? 0) - at(j, 4)];
    const [eu, ew] = [(out.vx[j] ?? 0) - at(j, 5), (out.vy[j] ?? 0) - at(j, 6)];
    out.x[i] = (out.x[i] ?? 0) + c00 * ex + c01 * eu;
    out.y[i] = (out.y[i] ?? 0) + c00 * ey + c01 * ew;
    out.vx[i] = (out.vx[i] ?? 0) + c10 * ex + c11 * eu;
    out.vy[i] = (out.vy[i] ?? 0) + c10 * ey + c11 * ew;
    const [dp, dv, dw] = [sp - pp, sv - pv, sw - vv];
    sp = fp + c00 * c00 * dp + 2 * c00 * c01 * dv + c01 * c01 * dw;
    sv = fv + c00 * c10 * dp + (c00 * c11 + c01 * c10) * dv + c01 * c11 * dw;
    sw = fw + c10 * c10 * dp + 2 * c10 * c11 * dv + c11 * c11 * dw;
    out.variance[i] = Math.max(sp, 0);
  }
}
