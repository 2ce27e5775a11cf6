/** A drawn horse that walks to the left past a still camera; every place is an exact function of time. */
import {
  HOOF,
  FETLOCK,
  KNEE_OR_HOCK,
  LIMBS,
  POINT_NAMES,
  type Limb,
  type PointName,
  isFore,
} from '../../src/points.ts';

export const WIDTH_PX = 960;
export const HEIGHT_PX = 540;
export const FPS = 60;
export const FRAMES = 270;
export const WITHERS_M = 1.62;
const PX_PER_M = 150;
const GROUND_PX = 450;
const SPEED_MPS = 1.5;
const STRIDE_S = 1.15;
const STRIDE_M = SPEED_MPS * STRIDE_S;
const DUTY = 0.62;
const START_M = -1.2;
/** Far limbs stand a little higher in the picture. */
const FAR_UP_PX = 7;

const PHASE: Record<Limb, number> = { LH: 0, LF: 0.23, RH: 0.5, RF: 0.74 };
/** Where a hoof lands, ahead of the body's reference, m. */
const LANDS_M: Record<Limb, number> = { LH: 0.55, LF: 1.7, RH: 0.53, RF: 1.68 };

export interface Place {
  /** Along the track and above the ground, m. */
  readonly along: number;
  readonly up: number;
}

export const timeOfFrame = (frame: number): number => frame / FPS;
const bodyAt = (timeS: number): number => START_M + SPEED_MPS * timeS;

export interface TrueStance {
  readonly limb: Limb;
  readonly onS: number;
  readonly offS: number;
  readonly printM: number;
}

export function stanceOf(limb: Limb, stride: number): TrueStance {
  const onS = (stride + PHASE[limb]) * STRIDE_S;
  return { limb, onS, offS: onS + DUTY * STRIDE_S, printM: bodyAt(onS) + LANDS_M[limb] };
}

export function hoofAt(limb: Limb, timeS: number): Place {
  const stance = stanceOf(limb, Math.floor(timeS / STRIDE_S - PHASE[limb]));
  if (timeS <= stance.offS) return { along: stance.printM, up: 0 };
  const swing = (timeS - stance.offS) / ((1 - DUTY) * STRIDE_S);
  const eased = swing - Math.sin(2 * Math.PI * swing) / (2 * Math.PI);
  return { along: stance.printM + STRIDE_M * eased, up: 0.13 * Math.sin(Math.PI * swing) ** 2 };
}

function limbPlaces(limb: Limb, timeS: number): { hoof: Place; fetlock: Place; joint: Place } {
  const hoof = hoofAt(limb, timeS);
  const top = { along: bodyAt(timeS) + (isFore(limb) ? 1.16 : 0.05), up: isFore(limb) ? 0.85 : 0.95 };
  const fetlock = { along: hoof.along - 0.1, up: hoof.up + 0.2 };
  const bend = isFore(limb) ? 0.04 : -0.11;
  const joint = {
    along: fetlock.along + (top.along - fetlock.along) * 0.5 + bend,
    up: fetlock.up + (top.up - fetlock.up) * (isFore(limb) ? 0.46 : 0.5),
  };
  return { hoof, fetlock, joint };
}

function bodyPlaces(timeS: number): Partial<Record<PointName, Place>> {
  const x = bodyAt(timeS);
  const bob = 0.015 * Math.sin((4 * Math.PI * timeS) / STRIDE_S);
  const nod = 0.055 * Math.sin((4 * Math.PI * timeS) / STRIDE_S + 0.8);
  return {
    muzzle: { along: x + 2.25, up: 1.28 + nod },
    poll: { along: x + 1.9, up: WITHERS_M + 0.16 + nod + bob },
    withers: { along: x + 1.02, up: WITHERS_M + bob },
    croup: { along: x + 0.12, up: WITHERS_M + 0.005 - bob },
    tailhead: { along: x - 0.3, up: WITHERS_M - 0.16 - bob },
    point_of_shoulder: { along: x + 1.42, up: 1.12 },
    left_point_of_shoulder: { along: x + 1.42, up: 1.12 },
    point_of_elbow: { along: x + 1.12, up: 0.92 },
  };
}

/** Every point at a time, px of the picture; the horse goes to the left and shows its left side. */
export function pointsAt(timeS: number): ReadonlyMap<PointName, { x: number; y: number }> {
  const places: Partial<Record<PointName, Place & { far?: boolean }>> = bodyPlaces(timeS);
  for (const limb of LIMBS) {
    const { hoof, fetlock, joint } = limbPlaces(limb, timeS);
    const far = limb.startsWith('R');
    places[HOOF[limb]] = { ...hoof, far };
    places[FETLOCK[limb]] = { ...fetlock, far };
    places[KNEE_OR_HOCK[limb]] = { ...joint, far };
  }
  const shown = new Map<PointName, { x: number; y: number }>();
  for (const name of POINT_NAMES) {
    const place = places[name];
    if (!place) continue;
    const { x, y } = {
      x: xOfM(place.along),
      y: GROUND_PX - place.up * PX_PER_M - (place.far ? FAR_UP_PX : 0),
    };
    if (x > 0 && x < WIDTH_PX) shown.set(name, { x, y });
  }
  return shown;
}

/** The track's metres count to the left, as the horse goes. */
export const xOfM = (along: number): number => WIDTH_PX - along * PX_PER_M;
export const metresPerPx = 1 / PX_PER_M;
export const groundPx = GROUND_PX;
