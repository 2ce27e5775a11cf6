/** Circular statistics of phases. Angles in radians; Zar, Biostatistical Analysis, chapter on circular distributions. */
export interface CircularMean {
  /** Mean direction in [0, 2 pi). */
  readonly angleRad: number;
  /** Length of the mean vector, 0 (scattered) .. 1 (all alike). */
  readonly resultant: number;
}

/** Null for an empty list, or where the directions cancel and no mean exists. */
export function circularMean(anglesRad: readonly number[], weights?: readonly number[]): CircularMean | null {
  let c = 0;
  let s = 0;
  let sum = 0;
  anglesRad.forEach((angle, i) => {
    const w = weights?.[i] ?? 1;
    c += w * Math.cos(angle);
    s += w * Math.sin(angle);
    sum += w;
  });
  if (!(sum > 0)) return null;
  const resultant = Math.hypot(c, s) / sum;
  if (resultant < 1e-9) return null;
  const angle = Math.atan2(s, c);
  return { angleRad: angle < 0 ? angle + 2 * Math.PI : angle, resultant };
}

/** Mean of phases (shares of a stride), in [0, 1). */
export function meanPhase(fractions: readonly number[], weights?: readonly number[]): number | null {
  const mean = circularMean(
    fractions.map((f) => 2 * Math.PI * f),
    weights,
  );
  return mean === null ? null : wrapPhase(mean.angleRad / (2 * Math.PI));
}

/** A phase in [0, 1); what is a hair below 1 by rounding is 0. */
export function wrapPhase(fraction: number): number {
  const wrapped = fraction - Math.floor(fraction);
  return wrapped > 1 - 1e-12 ? 0 : wrapped;
}

/** Signed difference a - b of two phases, in [-0.5, 0.5). */
export const phaseDifference = (a: number, b: number): number => wrapPhase(a - b + 0.5) - 0.5;
