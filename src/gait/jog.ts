import { LIMBS, limbSide, isFore } from '../points.ts';
import { isMeasured } from './interval.ts';
import type { PassFacts } from './facts.ts';
import { eventsOf } from './rhythm.ts';
import { quadrature, type Estimate } from './statistics.ts';
import type { Measures } from './types.ts';

/** Horses change from walk to trot near it (Griffin et al. 2004, J Exp Biol 207:4215). */
export const JOG_FROUDE = 0.35;

/**
 * A walk's fore follows its hind by about a quarter of the stride: half is a jog, three quarters mistaken legs. In one
 * stride of the near side: surely (2 SD) nearer to a half than to a quarter or three quarters.
 */
const DIAGONAL = [0.375, 0.625] as const;
const SURE_SD = 2;
/**
 * Two landings of one hoof are a stride apart, and none is missing between them: shares of the usual duration. A jogged
 * stride lasts .6 - .8 of a walked one. Our assumption, no source.
 */
const OWN_STRIDE = [0.58, 1.5] as const;

/** The lag of a stride from one landing of the hind limb to its next. */
interface OwnLag extends Estimate {
  readonly fromS: number;
  readonly toS: number;
}

/** By each stride of the hind limb, its own share that passes until the fore limb lands: a jogged one lasts less than a walked one. */
export function ownLags(hind: readonly Estimate[], fore: readonly Estimate[], usualS: number): OwnLag[] {
  return hind.slice(1).flatMap((next, i) => {
    const from = hind[i];
    const within = fore.filter((f) => from && f.value > from.value && f.value < next.value);
    const [landing] = within;
    if (!from || !landing || within.length > 1) return [];
    const lastsS = next.value - from.value;
    if (lastsS < OWN_STRIDE[0] * usualS || lastsS > OWN_STRIDE[1] * usualS) return [];
    const value = (landing.value - from.value) / lastsS;
    const sd = quadrature(landing.sd, (1 - value) * from.sd, value * next.sd) / lastsS;
    return [{ value, sd, fromS: from.value, toS: next.value }];
  });
}

const surely = ({ value, sd }: Estimate, holds: (share: number) => boolean): boolean =>
  holds(value - SURE_SD * sd) && holds(value + SURE_SD * sd);
/** Whether a stride with this lag is surely jogged. */
export const isDiagonal = (lag: Estimate): boolean =>
  surely(lag, (share) => share > DIAGONAL[0] && share < DIAGONAL[1]);

const isWalked = (lag: Estimate): boolean => surely(lag, (share) => share < DIAGONAL[0]);

function lagsOf({ stances, data, duration }: PassFacts, side: 'near' | 'far'): OwnLag[] {
  const own = LIMBS.filter((limb) => (limbSide(limb) === data.span.nearSide) === (side === 'near'));
  const [hind, fore] = [own.find((limb) => !isFore(limb)), own.find(isFore)];
  if (!duration || !hind || !fore) return [];
  return ownLags(eventsOf(stances, hind, 'on'), eventsOf(stances, fore, 'on'), duration.value);
}

/** Whether two strides go on together for half of the shorter one. */
const together = (a: OwnLag, b: OwnLag): boolean =>
  Math.min(a.toS, b.toS) - Math.max(a.fromS, b.fromS) > 0.5 * Math.min(a.toS - a.fromS, b.toS - b.fromS);

/**
 * Without the lags of one side that look jogged while the other side surely walks: no horse does both, so that legs were
 * mistaken, as behind a handler.
 */
export function withoutMistaken(own: readonly OwnLag[], other: readonly OwnLag[]): OwnLag[] {
  const walked = other.filter(isWalked);
  return own.filter((lag) => !isDiagonal(lag) || !walked.some((one) => together(lag, one)));
}

/**
 * Not a walk by the mean of all strides, by single strides among those of a walk, or by the speed. `mixed`: some strides
 * are surely diagonal and others surely not, so that their means are those of no gait.
 */
export function beatOf(
  facts: PassFacts,
  { lateralLagFraction: lag, froude }: Measures,
): 'walk' | 'jog' | 'mixed' {
  const lags = withoutMistaken(lagsOf(facts, 'near'), lagsOf(facts, 'far'));
  const diagonal = lags.some(isDiagonal);
  if (diagonal && lags.some(isWalked)) return 'mixed';
  const notLateral = isMeasured(lag) && lag.value > 0.4 && lag.value < 0.95;
  const fast = isMeasured(froude) && froude.value > JOG_FROUDE;
  return diagonal || notLateral || fast ? 'jog' : 'walk';
}
