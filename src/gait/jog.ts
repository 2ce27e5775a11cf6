import { LIMBS, limbSide, isFore } from '../points.ts';
import { isMeasured } from './interval.ts';
import type { PassFacts } from './facts.ts';
import { eventsOf, phasesOf } from './rhythm.ts';
import type { Measures } from './types.ts';

/** Horses change from walk to trot near it (Griffin et al. 2004, J Exp Biol 207:4215). */
export const JOG_FROUDE = 0.35;

/**
 * A walk's fore follows its hind by about a quarter of the stride: half is a jog, three quarters mistaken legs. In one
 * stride of the near side: surely (2 SD) nearer to a half than to a quarter or three quarters.
 */
const DIAGONAL = [0.375, 0.625] as const;
const SURE_SD = 2;

function hasDiagonalStride({ stances, data, duration }: PassFacts): boolean {
  const near = LIMBS.filter((limb) => limbSide(limb) === data.span.nearSide);
  const [hind, fore] = [near.find((limb) => !isFore(limb)), near.find(isFore)];
  if (!duration || !hind || !fore) return false;
  const lags = phasesOf(eventsOf(stances, fore, 'on'), eventsOf(stances, hind, 'on'), duration.value);
  return lags.some(
    ({ value, sd }) => value - SURE_SD * sd > DIAGONAL[0] && value + SURE_SD * sd < DIAGONAL[1],
  );
}

/** By the mean of all strides, by single strides among those of a walk, or by the speed. */
export function isJog(facts: PassFacts, { lateralLagFraction: lag, froude }: Measures): boolean {
  const notLateral = isMeasured(lag) && lag.value > 0.4 && lag.value < 0.95;
  const fast = isMeasured(froude) && froude.value > JOG_FROUDE;
  return notLateral || fast || hasDiagonalStride(facts);
}
