/** A straight scale from data to px. */
export interface Scale {
  (value: number): number;
  readonly invert: (px: number) => number;
}

export function linear(from: readonly [number, number], to: readonly [number, number]): Scale {
  const slope = (to[1] - to[0]) / (from[1] - from[0] || 1);
  const scale = (value: number) => to[0] + (value - from[0]) * slope;
  return Object.assign(scale, { invert: (px: number) => from[0] + (px - to[0]) / slope });
}

/** Round values (1, 2 or 5 times a power of ten) from low to high, at most about `most` of them. */
export function ticks(low: number, high: number, most: number): readonly number[] {
  const span = high - low;
  if (!(span > 0) || most < 1) return [];
  const rough = span / most;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5].find((factor) => factor * power >= rough * 0.999) ?? 10) * power;
  const first = Math.ceil(low / step - 1e-9);
  const count = Math.floor(high / step + 1e-9) - first + 1;
  return Array.from({ length: Math.max(count, 0) }, (_, i) => Number(((first + i) * step).toPrecision(12)));
}

/** Decimals that tell neighbouring ticks apart. */
export function tickDecimals(values: readonly number[]): number {
  const [a, b] = values;
  if (a === undefined || b === undefined) return 0;
  return Math.max(0, -Math.floor(Math.log10(b - a) + 1e-9));
}
