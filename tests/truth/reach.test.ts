/** No leg of a drawn horse lies down: hips and elbows keep about their height while the hooves keep their prints. */
import { describe, expect, it } from 'vitest';
import { isFore, LIMBS } from '../../src/points.ts';
import { benchSet } from '../accuracy/set.ts';
import type { Motion } from './motion.ts';
import { motionOf as shotMotion } from './pictures/horses.ts';
import { runPlan } from './pictures/plans.ts';
import { CLIPS, lastsS, motionOf } from './plans.ts';
import { HIP_H, poseAt } from './pose.ts';
import { withinReach } from './reach.ts';
import { USUAL_BUILD, walkManner } from './gait.ts';

/** How far a hip is below its usual height, and how high the lowest elbow of a standing foreleg is, withers heights. */
function lowest(m: Motion, timeS: number): { hipSinks: number; elbow: number } {
  const h = m.withersM;
  const { limbs, croup } = poseAt(m, timeS);
  const usual = croup[2] - m.croupAboveM - HIP_H.down * h;
  const fore = LIMBS.filter((limb) => isFore(limb) && limbs[limb].hoof.inStance);
  return {
    hipSinks: Math.max(...LIMBS.filter((l) => !isFore(l)).map((l) => usual - limbs[l].top[2])) / h,
    elbow: Math.min(...fore.map((l) => limbs[l].upper[2]), h) / h,
  };
}

describe('a drawn horse', () => {
  it('stands on its legs in every one of 3600 planned pictures', () => {
    for (const { shots } of runPlan(0, 3600))
      for (const { going, timeS, seed } of shots) {
        const { hipSinks, elbow } = lowest(shotMotion(going), timeS);
        expect(hipSinks, `scene ${seed}`).toBeLessThan(0.06);
        expect(elbow, `scene ${seed}`).toBeGreaterThan(0.42);
      }
  });

  it('stands on its legs all along the clips of the bench and the samples', () => {
    const plans = [...benchSet().map(({ name, plan }) => [name, plan] as const), ...Object.entries(CLIPS)];
    for (const [name, plan] of plans) {
      const motion = motionOf(plan);
      for (let s = 0; s < lastsS(plan); s += 1 / 20) {
        const { hipSinks, elbow } = lowest(motion, s);
        expect(hipSinks, name).toBeLessThan(0.07);
        expect(elbow, name).toBeGreaterThan(0.38);
      }
    }
  });

  it('overtracks farther where its stride is too long for the overtrack asked for', () => {
    const manner = walkManner({
      ...{ strideLengthM: 2, strideDurationS: 1.2, overtrackM: -0.2 },
      ...{ lag: 0.2, contralateral: 0.5, dutyFore: 0.64, dutyHind: 0.62 },
    });
    const of = { withersM: 1.6, build: USUAL_BUILD };
    const { left, right } = withinReach(of, manner).overtrackM;
    expect(left).toBeGreaterThan(0);
    expect(right).toBe(left);
    const shorter = { ...manner, strideLengthM: 1.4 };
    expect(withinReach(of, shorter)).toEqual(shorter);
  });
});
