/** The drawn horse standing up for the photograph, square or open, with small shifts of its weight. */
import { LIMBS, limbSide, isFore, type Limb } from '../../src/points.ts';
import { numbers } from '../support/kinematicLaws.ts';
import { radians } from './curves.ts';
import { type Motion } from './motion.ts';
import { type HoofPlace } from './hooves.ts';
import { type Build, sideSign, type TrueStance } from './gait.ts';

export interface StandPlan {
  readonly seed: number;
  readonly withersM: number;
  readonly build: Build;
  readonly croupAboveM: number;
  readonly headAboveM: number;
  readonly headTurnDeg: number;
  readonly baseWidthM: { readonly fore: number; readonly hind: number };
  /** How far each toe stands ahead of its square place, m. */
  readonly aheadM: Readonly<Record<Limb, number>>;
  /** Size of the slow shifts of weight, m. */
  readonly shiftM: number;
  /** Where the withers are, along the path. */
  readonly atM: number;
}

/** Square place of the toes ahead of the withers, withers heights: cannon bones all but upright (common practice, no source). */
const SQUARE_H = { fore: 0.165, hind: -0.62 } as const;

export const toeX = (p: StandPlan, limb: Limb): number =>
  p.atM + SQUARE_H[isFore(limb) ? 'fore' : 'hind'] * p.withersM + p.aheadM[limb];

const toeY = (p: StandPlan, limb: Limb): number =>
  (sideSign(limbSide(limb)) * p.baseWidthM[isFore(limb) ? 'fore' : 'hind']) / 2;

/** Four prints that stand all along the clip. */
export const standStances = (p: StandPlan, lastsS: number): TrueStance[] =>
  LIMBS.map((limb) => ({
    limb,
    onS: 0,
    offS: lastsS,
    printM: { x: toeX(p, limb), y: toeY(p, limb) },
    stride: 0,
  }));

export function standing(p: StandPlan): Motion {
  const random = numbers(p.seed);
  const [a, b, c] = [random.uniform(), random.uniform(), random.uniform()].map((u) => 2 * Math.PI * u);
  // Sway of some seconds: our own estimate, no source.
  const shift = (timeS: number): number =>
    p.shiftM * (0.6 * Math.sin(1.9 * timeS + (a ?? 0)) + 0.4 * Math.sin(3.7 * timeS + (b ?? 0)));
  const hoofAt = (limb: Limb): HoofPlace => ({
    toe: { x: toeX(p, limb), y: toeY(p, limb), z: 0 },
    pitchRad: 0,
    pasternRad: 0,
    inStance: true,
    share: 0.4,
    fromS: -Infinity,
    toS: Infinity,
  });
  return {
    withersM: p.withersM,
    build: p.build,
    croupAboveM: p.croupAboveM,
    bodyXAt: (timeS) => p.atM + shift(timeS),
    standsAtM: p.atM,
    hoofAt,
    strideAt: () => 0,
    springAt: () => 0,
    headAt: (timeS) => ({
      aboveM: p.headAboveM + 0.02 * Math.sin(1.3 * timeS + (c ?? 0)),
      turnRad: radians(p.headTurnDeg + 2 * Math.sin(0.9 * timeS)),
    }),
  };
}
