/** How each hoof of the drawn horse stands, turns over its toe tip and swings. Path metres. */
import { isFore, limbSide, type Limb } from '../../src/points.ts';
import { curve, radians, smoothStep, type Knots } from './curves.ts';
import { FIRST, mannerAt, sideSign, stance, strideAt, type TrueStance, type WalkPlan } from './gait.ts';

export interface HoofPlace {
  /** Toe tip. */
  readonly toe: { readonly x: number; readonly y: number; readonly z: number };
  /** The hoof's turn over its toe: 0 = flat, positive = heel up. */
  readonly pitchRad: number;
  /** Pastern against the front wall of the hoof: positive = the fetlock leans further forward. */
  readonly pasternRad: number;
  readonly inStance: boolean;
  /** Share of the stance or of the swing that has passed, and when it began and ends. */
  readonly share: number;
  readonly fromS: number;
  readonly toS: number;
}

/** Heel up, degrees: while the toe still stands, then in the swing. Our own estimate of a usual walk, no source. */
const STANCE_PITCH: Knots = [
  [0, 0],
  [0.8, 0],
  [0.92, 16],
  [1, 46],
];
const SWING_PITCH: Record<'F' | 'H', Knots> = {
  F: [
    [0, 46],
    [0.16, 74],
    [0.36, 68],
    [0.66, 16],
    [0.86, -6],
    [1, 0],
  ],
  H: [
    [0, 46],
    [0.14, 62],
    [0.34, 52],
    [0.66, 10],
    [0.86, -5],
    [1, 0],
  ],
};
const STANCE_PASTERN: Knots = [
  [0, 6],
  [0.25, -2],
  [0.55, -4],
  [0.8, 12],
  [1, 2],
];
const SWING_PASTERN: Knots = [
  [0, 2],
  [0.2, -14],
  [0.6, -10],
  [1, 6],
];
/** Height of the toe in the swing, withers heights. */
const LIFT_H: Record<'F' | 'H', Knots> = {
  F: [
    [0, 0],
    [0.12, 0.02],
    [0.34, 0.062],
    [0.62, 0.04],
    [0.86, 0.03],
    [1, 0],
  ],
  H: [
    [0, 0],
    [0.12, 0.016],
    [0.34, 0.045],
    [0.64, 0.03],
    [0.86, 0.024],
    [1, 0],
  ],
};

/** The stance that is gone or was gone last at this time. */
function lastStance(p: WalkPlan, limb: Limb, timeS: number): TrueStance {
  let k = Math.floor(strideAt(p, timeS));
  while (k > FIRST && stance(p, limb, k).onS > timeS) k--;
  return stance(p, limb, k);
}

export function hoofAt(p: WalkPlan, limb: Limb, timeS: number): HoofPlace {
  const here = lastStance(p, limb, timeS);
  if (timeS <= here.offS) {
    const share = (timeS - here.onS) / (here.offS - here.onS);
    return {
      toe: { ...here.printM, z: 0 },
      pitchRad: radians(curve(STANCE_PITCH, share)),
      pasternRad: radians(curve(STANCE_PASTERN, share)),
      inStance: true,
      share,
      fromS: here.onS,
      toS: here.offS,
    };
  }
  const next = stance(p, limb, here.stride + 1);
  const share = (timeS - here.offS) / (next.onS - here.offS);
  const kind = isFore(limb) ? 'F' : 'H';
  const out = sideSign(limbSide(limb)) * p.swingOutM[limb] * Math.sin(Math.PI * share) ** 2;
  const spring = mannerAt(p, here.stride).spring;
  return {
    toe: {
      x: here.printM.x + smoothStep(share) * (next.printM.x - here.printM.x),
      y: here.printM.y + out,
      z: curve(LIFT_H[kind], share) * p.withersM * spring,
    },
    pitchRad: radians(curve(SWING_PITCH[kind], share)),
    pasternRad: radians(curve(SWING_PASTERN, share)),
    inStance: false,
    share,
    fromS: here.offS,
    toS: next.onS,
  };
}
