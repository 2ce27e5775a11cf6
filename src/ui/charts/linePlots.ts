/** Ranges and words of the charts of a pass away from the camera or back to it. Pure. */
import type { LinePlot } from '../../gait/types.ts';
import type { Limb } from '../../points.ts';

type Range = readonly [low: number, high: number];

/** From the lowest to the highest value and a margin, and no narrower than `least` about its middle. */
export function rangeOf(values: readonly number[], least: number, margin = 0.1): Range {
  const [low, high] = values.length > 0 ? [Math.min(...values), Math.max(...values)] : [0, 0];
  const half = Math.max((high - low) * (0.5 + margin), least / 2);
  return [(low + high) / 2 - half, (low + high) / 2 + half];
}

/** Along the way from the first place that is drawn, and to the left of the straight line. */
export function printRanges({ prints, body }: LinePlot): { readonly alongM: Range; readonly leftM: Range } {
  const places = [...prints, ...body];
  const half = Math.max(0.15, ...places.map(({ leftM }) => Math.abs(leftM))) * 1.15;
  return {
    alongM: rangeOf(
      places.map(({ alongM }) => alongM),
      1,
      0.03,
    ),
    leftM: [-half, half],
  };
}

/** The middle of the body at a time, as it was drawn last before; null before and after the pass. */
export function bodyAt({ body }: LinePlot, timeS: number): LinePlot['body'][number] | null {
  const [first, last] = [body[0], body.at(-1)];
  if (!first || !last || timeS < first.timeS || timeS > last.timeS) return null;
  return body.findLast((one) => one.timeS <= timeS) ?? null;
}

export type Swing = LinePlot['swings'][Limb][number];

/** Where a hoof is at a time in one of its swings; null while it stands. */
export function hoofAt(swings: readonly Swing[], timeS: number): Swing[number] | null {
  const swing = swings.find(
    (one) => (one[0]?.timeS ?? Infinity) <= timeS && (one.at(-1)?.timeS ?? 0) >= timeS,
  );
  return swing?.findLast((one) => one.timeS <= timeS) ?? null;
}

/** One scale for the hooves that are drawn: half the width, and the heights, which are rough and may lie beneath the ground. */
export function swingReach(
  { swings }: LinePlot,
  drawn: readonly Limb[],
): { readonly asideM: number; readonly upM: Range } {
  const all = drawn.flatMap((limb) => swings[limb].flat());
  const ups = all.map(({ upM }) => upM);
  return {
    asideM: Math.max(0.06, ...all.map(({ leftM }) => Math.abs(leftM))) * 1.1,
    upM: [Math.min(0, ...ups), Math.max(0.08, ...ups)],
  };
}
