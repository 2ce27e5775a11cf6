/** What the drawn horse's hind legs can reach. */
import { limbSide } from '../../src/points.ts';
import { clamp } from './curves.ts';
import { centreM, type Manner, type WalkPlan } from './gait.ts';
import { HIP_H, BACK_H } from './pose.ts';

/**
 * The hind toe stands at most this far before and behind the place under the hip joint, withers heights. Farther, the
 * hip would sink to the height of a leg that lies down; our own estimate of a long stride, no source.
 */
const HIND_REACH_H = 0.47;

type Reaching = Pick<WalkPlan, 'withersM' | 'build'>;

/** The manner with its overtrack no longer or shorter than the hind legs reach: a longer stride overtracks farther. */
export function withinReach(of: Reaching, manner: Manner): Manner {
  const { withersM: h, build } = of;
  const hip = -(BACK_H * build.length + HIP_H.back) * h;
  const within = (limb: 'LH' | 'RH'): number => {
    const centre = centreM(of, manner, limb);
    const free = HIND_REACH_H * h - (manner.duty[limb] * manner.strideLengthM) / 2;
    return manner.overtrackM[limbSide(limb)] + (clamp(centre, hip - free, hip + free) - centre);
  };
  return { ...manner, overtrackM: { left: within('LH'), right: within('RH') } };
}
