import { LIMBS, limbSide, type Side } from '../points.ts';
import { alongH } from './geometry.ts';
import type { PrintAlong } from './lengths.ts';
import { localPolynomial } from './localPolynomial.ts';
import type { PassScale } from './scale.ts';
import { trunkF, type SpanData } from './series.ts';
import { medianOf, quadrature, type Estimate } from './statistics.ts';

/**
 * Over a stride the trunk goes as far as the hooves do (stride length = speed x duration). Where it seems to go
 * farther, the camera looks down - the ground is then farther along its axis than the withers, and smaller - or the
 * hooves' own distance is wrong. The height at the withers lies between both scales, so hooves and trunk share what
 * is found between them.
 */
export interface Balance {
  /** Factors that lengths of hooves and of the trunk are multiplied by. */
  readonly hooves: number;
  readonly trunk: number;
  /** How much farther the trunk is believed to go than the hooves, as a share. */
  readonly found: Estimate;
  /** Relative SD that is left, and the part of it that grows with what was found. */
  readonly relSd: number;
  readonly tiltRelSd: number;
}

/** SD of trunk over hooves before it is measured: a camera tilted by some degrees, hooves off by half a base width. */
const PRIOR_SD = 0.03;
/** The hooves' share: half of a tilt, all of an error in their distance. */
const HOOVES_SHARE = 0.6;
const SHARE_SD = 0.25;
/** SD of one stride's comparison: trunk place and event time. */
const STRIDE_SD = 0.012;
const LEAST_SD = 0.004;

export const NO_BALANCE: Balance = {
  hooves: 1,
  trunk: 1,
  found: { value: 0, sd: PRIOR_SD },
  relSd: 0,
  tiltRelSd: 0,
};

export function balanceOf(
  data: SpanData,
  scale: PassScale,
  prints: readonly PrintAlong[],
  strideS: number | null,
): Balance {
  if (strideS === null) return NO_BALANCE;
  const near = trunkOverHooves(data, scale, prints, strideS, data.span.nearSide);
  const excess = near === null ? 0 : near.value - 1;
  const sd = near === null ? PRIOR_SD : near.sd;
  const trust = near === null ? 0 : PRIOR_SD ** 2 / (PRIOR_SD ** 2 + sd ** 2);
  const believed = Math.min(0.12, Math.max(-0.12, trust * excess));
  const foundSd = Math.sqrt(trust) * Math.min(sd, PRIOR_SD);
  const tiltRelSd = SHARE_SD * Math.abs(believed);
  return {
    found: { value: believed, sd: foundSd },
    hooves: 1 + HOOVES_SHARE * believed,
    trunk: 1 - (1 - HOOVES_SHARE) * believed,
    relSd: quadrature(tiltRelSd, HOOVES_SHARE * foundSd),
    tiltRelSd,
  };
}

/** How far the trunk goes between like events of a hoof, over how far that hoof's prints lie apart. */
function trunkOverHooves(
  data: SpanData,
  scale: PassScale,
  prints: readonly PrintAlong[],
  strideS: number,
  side: Side,
): Estimate | null {
  const trunk = trunkF(data).map((f) => (f === null ? null : alongH(scale.view, f)));
  const trunkAt = (timeS: number): number | null =>
    localPolynomial(data.timesS, trunk, timeS, 0.15 * strideS, 1)?.value ?? null;
  const ratios = LIMBS.filter((limb) => limbSide(limb) === side).flatMap((limb) => {
    const own = prints.filter((p) => p.stance.limb === limb);
    return own.slice(1).flatMap((after, i) => {
      const before = own[i];
      if (!before) return [];
      return (['on', 'off'] as const).flatMap((edge) => {
        const [t0, t1] = [before.stance[edge]?.value, after.stance[edge]?.value];
        if (t0 === undefined || t1 === undefined || Math.abs((t1 - t0) / strideS - 1) > 0.3) return [];
        const [from, to] = [trunkAt(t0), trunkAt(t1)];
        const ratio = from === null || to === null ? Number.NaN : (to - from) / (after.value - before.value);
        return ratio > 0.75 && ratio < 1.33 ? [ratio] : [];
      });
    });
  });
  const value = medianOf(ratios);
  return value === null
    ? null
    : { value, sd: quadrature(STRIDE_SD / Math.sqrt(ratios.length / 2), LEAST_SD) };
}
