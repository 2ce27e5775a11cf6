import type { Track } from '../track/types.ts';
import type { PointErrors } from './pointErrors.ts';
import { medianOf, quadrature } from './statistics.ts';

/** What blur does to points. A blur is the SD of the Gaussian that it is like, px or withers heights (H). */

/** Median blur of the horse over some frames, px of the picture; null where it was told in none. */
export const blurPxOf = ({ blurPx }: Track, at: readonly number[]): number | null =>
  medianOf(at.flatMap((i) => blurPx?.[i] ?? []));

/**
 * Measured with version 3 of the network: 74 held-out pictures with labels (their own blur is .35 % of H in the median),
 * blurred once more at the network's own scale. Robust SDs about zero against the labels of the 72 seen from the side,
 * % of H:
 *
 * | blurred by | 0 | .57 | .85 | 1.13 | 1.70 | 2.26 | 3.4 |
 * |---|---|---|---|---|---|---|---|
 * | toe, forward | 1.26 | 1.23 | 1.23 | 1.43 | 1.53 | 1.98 | 6.9 |
 * | toe, up | 1.05 | 1.15 | 1.15 | 1.19 | 1.34 | 1.60 | 3.4 |
 * | withers, up | 2.00 | 1.84 | 1.90 | 1.90 | 2.25 | 2.84 | 5.2 |
 * | croup, up | .67 | .57 | .57 | .66 | .88 | .99 | 1.9 |
 * | poll, up | 1.08 | 1.06 | 1.23 | 1.34 | 1.46 | 2.05 | 3.5 |
 *
 * and how far toes that stand move forward when they are blurred (55 stances of 8 held-out walking horses): mean of a
 * stance .31, .57, .78 at 1.12, 1.68, 2.23; about that mean, from picture to picture, .45, .66, .94. Fore and hind go
 * the same way, on the whole, which an overtrack does not feel.
 *
 * Up to .85 toes get no worse: with the pictures' own, .9 % of H. What a blur b has beyond that is the square root of
 * b^2 - .9^2, and what it adds to the SD of a point is about as large as that, times the shares below (fitted by eye at
 * 1.7 and 2.3). From about 3 % on legs are taken for each other, which no SD tells.
 */
export const HARMLESS_BLUR_H = 0.009;
/** Of a toe: of its mean in a stance, and of each picture about that. */
export const TOE_SHARE = 0.4;
const WITHERS_SHARE = 0.8;
const CROUP_SHARE = 0.4;
const POLL_SHARE = 0.75;

/** What a blur has beyond a harmless one, H. */
export const harmfulBlurH = (blurH: number | null): number =>
  Math.sqrt(Math.max(0, (blurH ?? 0) ** 2 - HARMLESS_BLUR_H ** 2));

/** Errors of points in pictures that are blurred by so much, H; null: not known, taken for sharp. */
export function blurredErrors(sharp: PointErrors, blurH: number | null): PointErrors {
  const harmful = harmfulBlurH(blurH);
  if (harmful === 0) return sharp;
  return {
    ...sharp,
    withersUp: quadrature(sharp.withersUp, WITHERS_SHARE * harmful),
    croupUp: quadrature(sharp.croupUp, CROUP_SHARE * harmful),
    pollUp: quadrature(sharp.pollUp, POLL_SHARE * harmful),
    toeUp: quadrature(sharp.toeUp, TOE_SHARE * harmful),
    toeForwardOfStance: quadrature(sharp.toeForwardOfStance, TOE_SHARE * harmful),
  };
}
