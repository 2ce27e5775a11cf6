/** Small maths of the drawn horse: vectors (m), smooth curves, two-link chains. Nothing here comes from src. */

/** x along the direction of travel, y to the horse's left, z up, m. */
export type Vec = readonly [number, number, number];

export const add = (a: Vec, b: Vec): Vec => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const minus = (a: Vec, b: Vec): Vec => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const times = (a: Vec, k: number): Vec => [a[0] * k, a[1] * k, a[2] * k];
export const mix = (a: Vec, b: Vec, share: number): Vec => add(times(a, 1 - share), times(b, share));
export const length = (a: Vec): number => Math.hypot(...a);
export const unit = (a: Vec): Vec => times(a, 1 / (length(a) || 1));
export const cross = (a: Vec, b: Vec): Vec => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const radians = (deg: number): number => (deg * Math.PI) / 180;

/** Turns a direction of the x-z plane: positive turns +x towards +z. */
export const turn = (a: Vec, angle: number): Vec => [
  a[0] * Math.cos(angle) - a[2] * Math.sin(angle),
  a[1],
  a[0] * Math.sin(angle) + a[2] * Math.cos(angle),
];

export const clamp = (x: number, low: number, high: number): number => Math.min(high, Math.max(low, x));
export const smoothStep = (x: number): number => {
  const s = clamp(x, 0, 1);
  return s * s * (3 - 2 * s);
};

export type Knots = readonly (readonly [number, number])[];

/** Slope at a knot (Fritsch & Carlson 1980, SIAM J Numer Anal 17:238: no overshoot; level stays level). */
function slopeAt(knots: Knots, i: number): number {
  const [before, here, after] = [knots[i - 1], knots[i], knots[i + 1]];
  if (!here) return 0;
  const left = before ? (here[1] - before[1]) / (here[0] - before[0]) : null;
  const right = after ? (after[1] - here[1]) / (after[0] - here[0]) : null;
  if (left === null || right === null) return left ?? right ?? 0;
  return left * right <= 0 ? 0 : (2 * left * right) / (left + right);
}

/** A monotone cubic through knots of rising x; beyond the ends the end values. */
export function curve(knots: Knots, x: number): number {
  const first = knots[0];
  const last = knots[knots.length - 1];
  if (!first || !last) return 0;
  if (x <= first[0]) return first[1];
  if (x >= last[0]) return last[1];
  const i = knots.findIndex((k) => k[0] > x) - 1;
  const [a, b] = [knots[i] ?? first, knots[i + 1] ?? last];
  const h = b[0] - a[0];
  const s = (x - a[0]) / h;
  const [ma, mb] = [slopeAt(knots, i) * h, slopeAt(knots, i + 1) * h];
  const s2 = s * s;
  const s3 = s2 * s;
  return a[1] * (2 * s3 - 3 * s2 + 1) + ma * (s3 - 2 * s2 + s) + b[1] * (3 * s2 - 2 * s3) + mb * (s3 - s2);
}

/**
 * The joint between two links of the x-z plane from `from` to `to`. bend +1: it lies to the front of the line when the
 * line goes down. Lengths in m; the line is clamped to what the links reach.
 */
export function joint(from: Vec, to: Vec, first: number, second: number, bend: 1 | -1): Vec {
  const line = minus(to, from);
  const flat: Vec = [line[0], 0, line[2]];
  const d = clamp(length(flat), Math.abs(first - second) + 1e-6, first + second - 1e-6);
  const angle = Math.acos(clamp((first * first + d * d - second * second) / (2 * first * d), -1, 1));
  const out = add(from, times(turn(unit(flat), bend * angle), first));
  return [out[0], from[1] + (line[1] * first) / (first + second), out[2]];
}
