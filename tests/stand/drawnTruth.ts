/** The true standing measures of the drawn stand as its 21 points define them: means over the clip, from its skeleton. */
import { LIMBS, type Limb, type PointName } from '../../src/points.ts';
import { lastsS, motionOf } from '../truth/plans.ts';
import { keypoints, poseAt } from '../truth/pose.ts';
import { truthOfStand } from './support.ts';

const deg = (up: number, along: number): number => (180 / Math.PI) * Math.atan2(up, along);

/**
 * By the names of support.ts, m and degrees. From the truth file wherever it has the measure; point of hock and tailhead,
 * which it hasn't, from the skeleton.
 */
export function trueStandOf(): Record<string, number> {
  const { stand, truth } = truthOfStand();
  const { plan } = truth;
  const { measures: m } = stand;
  const motion = motionOf(plan);
  const times = Array.from({ length: 150 }, (_, i) => (i * lastsS(plan)) / 150);
  const poses = times.map((timeS) => keypoints(motion, poseAt(motion, timeS), 'left'));
  const meanOf = (of: (p: (typeof poses)[number]) => number): number =>
    poses.reduce((sum, p) => sum + of(p), 0) / poses.length;
  const hockLean = (side: 'left' | 'right'): number =>
    meanOf((p) => {
      const [low, high] = [p[`${side}_hind_fetlock` as PointName], p[`${side}_hind_hock` as PointName]];
      return deg(high[0] - low[0], high[2] - low[2]);
    });
  const pasterns = LIMBS.map((limb: Limb) => [`fetlockToToeSlopeDeg.${limb}`, m.fetlockToToeSlopeDeg[limb]]);
  return {
    croupAboveWithersM: m.croupAboveWithersM,
    croupAboveWithersH: m.croupAboveWithersH,
    foreLeftAheadM: m.leftAheadM.fore,
    hindLeftAheadM: m.leftAheadM.hind,
    'shoulderAheadOfToeM.left': m.shoulderAheadOfToeM.left,
    pollHeightM: m.pollHeightM,
    pollAboveWithersM: m.pollAboveWithersM,
    shoulderToTailheadM: meanOf((p) => p.point_of_shoulder[0] - p.tailhead[0]),
    'foreCannonLeanDeg.left': m.cannonLeanDeg.LF,
    'foreCannonLeanDeg.right': m.cannonLeanDeg.RF,
    'hockToFetlockLeanDeg.left': hockLean('left'),
    'hockToFetlockLeanDeg.right': hockLean('right'),
    ...(Object.fromEntries(pasterns) as Record<string, number>),
    shoulderSlopeDeg: m.shoulderSlopeDeg,
    neckSlopeDeg: m.neckSlopeDeg,
    faceSlopeDeg: m.faceSlopeDeg,
  };
}
