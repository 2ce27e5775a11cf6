/** How the drawn horse moves as its skeleton needs to know it, whether it walks or stands. */
import type { Limb } from '../../src/points.ts';
import { radians } from './curves.ts';
import { bodyXAt, mannerAt, strideAt, type Build, type WalkPlan } from './gait.ts';
import { hoofAt, type HoofPlace } from './hooves.ts';

/** What the skeleton needs to know of how the horse goes or stands. */
export interface Motion {
  readonly withersM: number;
  readonly build: Build;
  readonly croupAboveM: number;
  readonly bodyXAt: (timeS: number) => number;
  /** Where it stands, along the path; null where it walks. */
  readonly standsAtM: number | null;
  readonly hoofAt: (limb: Limb, timeS: number) => HoofPlace;
  /** Strides gone. */
  readonly strideAt: (timeS: number) => number;
  /** Size of the trunk's own movements: 1 at a walk, 0 where it stands. */
  readonly springAt: (timeS: number) => number;
  readonly headAt: (timeS: number) => { readonly aboveM: number; readonly turnRad: number };
}

/** The nod and the sway of the head twice and once a stride, the trunk's spring as the stride has it. */
export const walking = (p: WalkPlan): Motion => ({
  withersM: p.withersM,
  build: p.build,
  croupAboveM: p.croupAboveM,
  bodyXAt: (timeS) => bodyXAt(p, timeS),
  standsAtM: null,
  hoofAt: (limb, timeS) => hoofAt(p, limb, timeS),
  strideAt: (timeS) => strideAt(p, timeS),
  springAt: (timeS) => mannerAt(p, Math.floor(strideAt(p, timeS))).spring,
  headAt: (timeS) => {
    const turn = 2 * Math.PI * strideAt(p, timeS);
    return {
      aboveM: p.headAboveM + (p.nodM / 2) * Math.cos(2 * turn + 0.9),
      turnRad: radians(p.headTurnDeg + p.headSwayDeg * Math.sin(turn)),
    };
  },
});
