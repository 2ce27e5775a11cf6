/**
 * How the drawn horse walks: prints fixed on the ground, hooves that turn over their toe tip and swing smoothly.
 * Same laws of footfall as tests/support/kinematicLaws.ts, but with rigid hooves. Path metres; see Vec.
 */
import { isFore, LIMBS, type Limb, type Side } from '../../src/points.ts';
import { curve, radians, smoothStep, type Knots } from './curves.ts';

export interface WalkPlan {
  readonly seed: number;
  readonly withersM: number;
  readonly strideLengthM: number;
  readonly strideDurationS: number;
  readonly overtrackM: number;
  /** Hind to same-side fore, share of the stride. */
  readonly lag: number;
  /** Right hind after left hind, share of the stride. */
  readonly contralateral: number;
  readonly dutyFore: number;
  readonly dutyHind: number;
  /** Mean of poll above withers, and its range within a stride. */
  readonly headAboveM: number;
  readonly nodM: number;
  readonly croupAboveM: number;
  /** Between left and right prints. */
  readonly baseWidthM: number;
  /** Where the withers are at time 0, along the path. */
  readonly startM: number;
}

export interface TrueStance {
  readonly limb: Limb;
  readonly onS: number;
  readonly offS: number;
  /** Toe tip on the ground. */
  readonly printM: { readonly x: number; readonly y: number };
}

export interface HoofPlace {
  /** Toe tip. */
  readonly toe: { readonly x: number; readonly z: number };
  /** The hoof's turn over its toe: 0 = flat, positive = heel up. */
  readonly pitchRad: number;
  /** Pastern against the front wall of the hoof: positive = the fetlock leans further forward. */
  readonly pasternRad: number;
  readonly inStance: boolean;
  /** Share of the stance or of the swing that has passed. */
  readonly share: number;
}

export const speedMps = (p: WalkPlan): number => p.strideLengthM / p.strideDurationS;
export const dutyOf = (p: WalkPlan, limb: Limb): number => (isFore(limb) ? p.dutyFore : p.dutyHind);
export const sideSign = (side: Side): 1 | -1 => (side === 'left' ? 1 : -1);

export function phaseOf(p: WalkPlan, limb: Limb): number {
  const phases: Record<Limb, number> = { LH: 0, LF: p.lag, RH: p.contralateral, RF: p.contralateral + p.lag };
  return phases[limb];
}

/** The fore toe's middle place under the body, ahead of the withers, in withers heights. */
export const FORE_CENTRE_H = 0.045;

/** Ahead of the withers' mean place when the hoof lands, m. Overtrack = (1 - lag) stride length - C (exact). */
export function reachM(p: WalkPlan, limb: Limb): number {
  const fore = FORE_CENTRE_H * p.withersM + (p.dutyFore * p.strideLengthM) / 2;
  return isFore(limb) ? fore : fore - ((1 - p.lag) * p.strideLengthM - p.overtrackM);
}

export function stance(p: WalkPlan, limb: Limb, k: number): TrueStance {
  const onS = (k + phaseOf(p, limb)) * p.strideDurationS;
  const side = limb.startsWith('L') ? 1 : -1;
  return {
    limb,
    onS,
    offS: onS + dutyOf(p, limb) * p.strideDurationS,
    printM: { x: p.startM + speedMps(p) * onS + reachM(p, limb), y: (side * p.baseWidthM) / 2 },
  };
}

/** All stances that share time with the clip. */
export function stances(p: WalkPlan, lastsS: number): TrueStance[] {
  const turns = Array.from({ length: Math.ceil(lastsS / p.strideDurationS) + 4 }, (_, i) => i - 2);
  return LIMBS.flatMap((limb) => turns.map((k) => stance(p, limb, k))).filter(
    (s) => s.offS > 0 && s.onS < lastsS,
  );
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

export function hoofAt(p: WalkPlan, limb: Limb, timeS: number): HoofPlace {
  const cycles = timeS / p.strideDurationS - phaseOf(p, limb);
  const k = Math.floor(cycles);
  const here = stance(p, limb, k);
  const duty = dutyOf(p, limb);
  const passed = cycles - k;
  if (passed <= duty) {
    const share = passed / duty;
    return {
      toe: { x: here.printM.x, z: 0 },
      pitchRad: radians(curve(STANCE_PITCH, share)),
      pasternRad: radians(curve(STANCE_PASTERN, share)),
      inStance: true,
      share,
    };
  }
  const share = (passed - duty) / (1 - duty);
  const kind = isFore(limb) ? 'F' : 'H';
  return {
    toe: {
      x: here.printM.x + smoothStep(share) * p.strideLengthM,
      z: curve(LIFT_H[kind], share) * p.withersM,
    },
    pitchRad: radians(curve(SWING_PITCH[kind], share)),
    pasternRad: radians(curve(SWING_PASTERN, share)),
    inStance: false,
    share,
  };
}
