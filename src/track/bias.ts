import { BIAS_MEMORY_MOVING_S, BIAS_MEMORY_STANDING_S, LARGEST_BIAS } from './settings.ts';

/** The network's error at one frame, as a correction shows it, px. */
export interface KnownBias {
  readonly index: number;
  readonly x: number;
  readonly y: number;
}

export interface Spread {
  /** To add to what the network says, px. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** SD that this adds to what the network says, px. */
  readonly sdPx: Float64Array;
}

/** Share of the bias' size by which a shifted look is less sure. */
const DOUBT = 0.3;

/** Time in units of the network's memory for its own errors: it runs slowly while a hoof stands. */
function memoryTime(timesS: readonly number[], standing: readonly boolean[]): number[] {
  let u = 0;
  return timesS.map((t, i) => {
    const before = timesS[i - 1];
    if (before !== undefined) {
      const stands = standing[i] === true && standing[i - 1] === true;
      u += (t - before) / (stands ? BIAS_MEMORY_STANDING_S : BIAS_MEMORY_MOVING_S);
    }
    return u;
  });
}

/** Weights of the biases known before and after, by the mean of an Ornstein-Uhlenbeck process between them. */
function weights(u: number, u1: number | undefined, u2: number | undefined): readonly [number, number] {
  if (u1 === undefined) return [0, u2 === undefined ? 0 : Math.exp(u - u2)];
  if (u2 === undefined) return [Math.exp(u1 - u), 0];
  const span = u2 - u1;
  if (span < 1e-6) return [0.5, 0.5];
  // sinh(a) / sinh(span), written so that it can't overflow.
  const share = (a: number): number => (Math.exp(a - span) * -Math.expm1(-2 * a)) / -Math.expm1(-2 * span);
  return [share(u2 - u), share(u - u1)];
}

/**
 * A correction shows by how much the network is off. It is likely off in the same way in the frames around,
 * all through a stance and briefly otherwise: the error is taken for an Ornstein-Uhlenbeck process of mean zero,
 * known exactly at the corrections. A very large error is no bias but another thing taken for the point: the looks
 * around are then not shifted but distrusted.
 */
export function spreadBias(
  known: readonly KnownBias[],
  timesS: readonly number[],
  standing: readonly boolean[],
  heightPx: Float64Array,
): Spread {
  const n = timesS.length;
  const out = { x: new Float64Array(n), y: new Float64Array(n), sdPx: new Float64Array(n) };
  const u = memoryTime(timesS, standing);
  const sorted = [...known].sort((a, b) => a.index - b.index);
  let after = 0;
  for (let i = 0; i < n; i++) {
    while (after < sorted.length && (sorted[after]?.index ?? 0) <= i) after++;
    const [one, two] = [sorted[after - 1], sorted[after]];
    const at = (bias: KnownBias | undefined): number | undefined => bias && u[bias.index];
    const ws = weights(u[i] ?? 0, at(one), at(two));
    [one, two].forEach((bias, k) => {
      if (!bias) return;
      const w = ws[k] ?? 0;
      const size = Math.hypot(bias.x, bias.y);
      const another = size > LARGEST_BIAS * (heightPx[bias.index] ?? 1);
      out.x[i] = (out.x[i] ?? 0) + (another ? 0 : w * bias.x);
      out.y[i] = (out.y[i] ?? 0) + (another ? 0 : w * bias.y);
      out.sdPx[i] = (out.sdPx[i] ?? 0) + (another ? 1 : DOUBT) * w * size;
    });
  }
  return out;
}
