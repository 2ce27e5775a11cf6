/** Ways away from the camera and back to it, drawn by exact points with the noise of real ones. */
import { LIMBS, type Limb } from '../../src/points.ts';
import type { ObservedFrame } from '../../src/track/types.ts';
import { NOTHING_HIDDEN, observedExactly } from '../accuracy/exact.ts';
import { numbers } from '../support/kinematicLaws.ts';
import type { WalkPlan } from '../truth/gait.ts';
import { CLIPS, type ClipPlan } from '../truth/plans.ts';
import type { TrueLinePass } from '../truth/trueLine.ts';
import { truthOf } from '../truth/truth.ts';

export const PICTURE = { widthPx: 1920, heightPx: 1080 };
const triangle = CLIPS['triangle'] as ClipPlan;
const WALK = (triangle.going as { walk: WalkPlan }).walk;

export interface Line {
  readonly truth: TrueLinePass;
  readonly frames: readonly ObservedFrame[];
  readonly withersM: number;
  readonly strideLengthM: number;
}

/** Straight or wavering, between 4 and 15 m from the camera; the head as planned, if that is given. */
export function lineClip(i: number, head: Partial<Pick<WalkPlan, 'headTurnDeg' | 'headSwayDeg'>> = {}): Line {
  const random = numbers(500 + 37 * i);
  for (let k = 0; k < 8; k++) random.uniform();
  const between = (low: number, high: number): number => low + (high - low) * random.uniform();
  const withersM = between(1.3, 1.72);
  const aside = between(-6, 6);
  const away = i % 2 === 0;
  const strideLengthM = withersM * between(0.95, 1.12);
  const walk: WalkPlan = {
    ...{ ...WALK, seed: i, withersM, startM: 0 },
    manner: {
      ...WALK.manner,
      strideLengthM,
      strideDurationS: between(0.95, 1.2),
    },
    baseWidthM: { fore: between(0.12, 0.26), hind: between(0.1, 0.24) },
    swingOutM: Object.fromEntries(LIMBS.map((limb) => [limb, between(-0.04, 0.06)])) as Record<Limb, number>,
    ...{ headTurnDeg: between(-8, 8), headSwayDeg: between(0, 4), ...head },
    croupAboveM: withersM * between(-0.02, 0.03),
  };
  const farM = between(4, 6.5) + (away ? 0 : 9);
  const wave = { sizeM: 0.15, lengthM: 4.5, phase: between(0, 6), fromM: -3, toM: 30 };
  const plan: ClipPlan = {
    ...triangle,
    going: { walk },
    path: {
      fromM: [between(-0.5, 0.5), farM - 9],
      headingDeg: (away ? 90 : -90) + aside,
      legs: [],
      wander: i % 3 === 2 ? [wave] : [],
    },
    camera: {
      ...{ ...triangle.camera, ...PICTURE, fps: 30, frames: 180 },
      ...{ headingDeg: 90, follow: false, shakeDeg: 0, shakeM: 0 },
    },
  };
  const file = truthOf(plan, () => NOTHING_HIDDEN);
  const [truth] = file.passes.filter((p) => p.kind === 'away' || p.kind === 'towards');
  if (!truth) throw new Error('no pass away or back');
  return {
    truth: truth as TrueLinePass,
    frames: observedExactly(plan, file, i).frames,
    withersM,
    strideLengthM,
  };
}
