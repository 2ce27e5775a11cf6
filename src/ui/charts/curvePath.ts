import type { Sample } from './strideBands.ts';

/** Longest time without a sample that a curve runs through. */
const GAP_S = 0.15;

export function curvePath(
  samples: readonly Sample[],
  toX: (s: number) => number,
  toY: (h: number) => number,
): string {
  return samples
    .map(({ timeS, height }, index) => {
      const before = samples[index - 1];
      const pen = before && timeS - before.timeS <= GAP_S ? 'L' : 'M';
      return `${pen}${toX(timeS).toFixed(1)} ${toY(height).toFixed(1)}`;
    })
    .join('');
}
