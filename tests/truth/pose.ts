/** The skeleton of the drawn horse at one time: joints by inverse kinematics, trunk, neck and head. Path metres. */
import { isFore, LIMBS, limbSide, type Limb, type PointName } from '../../src/points.ts';
import { add, joint, length, minus, radians, times, turn, unit, type Vec } from './curves.ts';
import { type Motion } from './motion.ts';
import { type HoofPlace } from './hooves.ts';
import { FORE_CENTRE_H, sideSign } from './gait.ts';

export interface LimbPose {
  readonly hoof: HoofPlace;
  readonly toe: Vec;
  /** Middle of the coronet. */
  readonly coronet: Vec;
  readonly fetlock: Vec;
  /** Knee (carpus) or hock joint. */
  readonly middle: Vec;
  /** Elbow or stifle. */
  readonly upper: Vec;
  /** Shoulder joint or hip joint. */
  readonly top: Vec;
  /** Top of the shoulder blade, or of the pelvis. */
  readonly root: Vec;
}

export interface HorsePose {
  readonly timeS: number;
  /** The withers' mean place at this time, without bob and sway: x along the path. */
  readonly bodyX: number;
  readonly withers: Vec;
  readonly croup: Vec;
  readonly tailhead: Vec;
  readonly poll: Vec;
  readonly muzzle: Vec;
  readonly limbs: Readonly<Record<Limb, LimbPose>>;
}

/** Shares of withers height, from medians of side photographs of standing and walking horses marked by hand. */
export const BONES_H = {
  radius: 0.25,
  foreCannon: 0.19,
  femur: 0.247,
  tibia: 0.325,
  hindCannon: 0.25,
} as const;
const SCAPULA_H = 0.345;
const HUMERUS_H = 0.215;
/** Hind cannon against thigh bone: stifle and hock open and close together (reciprocal apparatus). */
const CANNON_TO_FEMUR = radians(-40);
/** The hoof: front wall at this angle, middle of the coronet behind and above the toe tip, m per m of withers height. */
export const HOOF_WALL = radians(54);
export const CORONET_H = { back: 0.052, up: 0.042 } as const;
const PASTERN_H = 0.07;
const HEAD_H = 0.385;
/** From the withers back to the croup. */
export const BACK_H = 0.557;
/** The hip joint behind and below the croup. */
export const HIP_H = { back: 0.065, down: 0.215 } as const;

/** A place of the hoof, behind and above its toe tip while it stands flat, where it is now. */
export function onHoof(toe: Vec, pitchRad: number, backM: number, upM: number, leftM = 0): Vec {
  return add(toe, turn([-backM, leftM, upM], -pitchRad));
}

function fetlockOf(h: number, toe: Vec, hoof: HoofPlace): { coronet: Vec; fetlock: Vec } {
  const coronet = onHoof(toe, hoof.pitchRad, CORONET_H.back * h, CORONET_H.up * h);
  const angle = HOOF_WALL + hoof.pitchRad + hoof.pasternRad;
  const along: Vec = [-Math.cos(angle), 0, Math.sin(angle)];
  return { coronet, fetlock: add(coronet, times(along, PASTERN_H * h)) };
}

/** The trunk's rise and fall, twice a stride; hindquarters and forehand in turn. */
export function bobM(m: Motion, timeS: number, end: 'fore' | 'hind'): number {
  const turn = 2 * Math.PI * m.strideAt(timeS);
  return 0.01 * m.springAt(timeS) * m.withersM * Math.cos(2 * turn + (end === 'fore' ? 2.4 : 0.4));
}

interface Lower {
  readonly hoof: HoofPlace;
  readonly toe: Vec;
  readonly coronet: Vec;
  readonly fetlock: Vec;
}

function lowerLimb(m: Motion, limb: Limb, timeS: number): Lower {
  const hoof = m.hoofAt(limb, timeS);
  const toe: Vec = [hoof.toe.x, hoof.toe.y, hoof.toe.z];
  return { hoof, toe, ...fetlockOf(m.withersM, toe, hoof) };
}

const elbowX = (m: Motion, bodyX: number, fetlock: Vec): number => {
  const h = m.withersM;
  const centre = bodyX + (FORE_CENTRE_H - 0.085) * h;
  return bodyX + 0.05 * h + 0.32 * (fetlock[0] - centre);
};

/** Height of the elbow over a foreleg that stands straight. */
function elbowOverStance(m: Motion, lower: Lower, bodyX: number): number {
  const reach = 0.9995 * (BONES_H.radius + BONES_H.foreCannon) * m.withersM;
  const ahead = elbowX(m, bodyX, lower.fetlock) - lower.fetlock[0];
  return lower.fetlock[2] + Math.sqrt(Math.max(0, reach * reach - ahead * ahead));
}

function elbowHeight(m: Motion, limb: Limb, timeS: number, lower: Lower): number {
  const { hoof } = lower;
  if (hoof.inStance) return elbowOverStance(m, lower, m.bodyXAt(timeS));
  const over = (s: number): number => elbowOverStance(m, lowerLimb(m, limb, s), m.bodyXAt(s));
  const [from, to] = [over(hoof.fromS - 1e-9), over(hoof.toS + 1e-9)];
  const s = hoof.share;
  const swung = from * (1 - s) + to * s + 0.012 * m.withersM * Math.sin(Math.PI * s) ** 2;
  return Math.min(swung, elbowOverStance(m, lower, m.bodyXAt(timeS)));
}

function foreLimb(m: Motion, limb: Limb, timeS: number, withers: Vec): LimbPose {
  const h = m.withersM;
  const sign = sideSign(limbSide(limb));
  const lower = lowerLimb(m, limb, timeS);
  const upper: Vec = [
    elbowX(m, m.bodyXAt(timeS), lower.fetlock),
    sign * 0.088 * h,
    elbowHeight(m, limb, timeS, lower),
  ];
  const middle = joint(upper, lower.fetlock, BONES_H.radius * h, BONES_H.foreCannon * h, 1);
  const root: Vec = [withers[0] - 0.015 * h, sign * 0.05 * h, withers[2] - 0.09 * h];
  const top = joint(root, upper, SCAPULA_H * h, HUMERUS_H * h, 1);
  return { ...lower, middle, upper, top: [top[0], sign * 0.105 * h, top[2]], root };
}

function hindLimb(m: Motion, limb: Limb, timeS: number, croup: Vec): LimbPose {
  const h = m.withersM;
  const sign = sideSign(limbSide(limb));
  const lower = lowerLimb(m, limb, timeS);
  const femur = BONES_H.femur * h;
  const cannon = BONES_H.hindCannon * h;
  // Thigh bone and cannon keep their angle, so that together they are one link: |femur + turned cannon|.
  const both = add([femur, 0, 0], times(turn([1, 0, 0], CANNON_TO_FEMUR), cannon));
  const link = length(both);
  // The hip sinks where the leg would not reach its print.
  const reach = 0.9995 * (link + BONES_H.tibia * h);
  const hipX = croup[0] - HIP_H.back * h;
  const highest = lower.fetlock[2] + Math.sqrt(Math.max(0, reach ** 2 - (hipX - lower.fetlock[0]) ** 2));
  const hip: Vec = [hipX, sign * 0.1 * h, Math.min(croup[2] - m.croupAboveM - HIP_H.down * h, highest)];
  const offset = Math.atan2(both[2], both[0]);
  const knee = joint(hip, lower.fetlock, link, BONES_H.tibia * h, 1);
  const along = turn(unit([knee[0] - hip[0], 0, knee[2] - hip[2]]), -offset);
  const stifle = add(hip, times(along, femur));
  const hock = add(lower.fetlock, times(turn(along, CANNON_TO_FEMUR), -cannon));
  return {
    ...lower,
    middle: [hock[0], lower.fetlock[1] * 0.6 + sign * 0.024 * h, hock[2]],
    upper: [stifle[0], sign * 0.105 * h, stifle[2]],
    top: hip,
    root: [croup[0] + 0.02 * h, sign * 0.08 * h, croup[2] - 0.06 * h],
  };
}

/** About an upright line through `about`, to the left. */
const turnLeft = (a: Vec, about: Vec, angle: number): Vec => {
  const [x, y] = [a[0] - about[0], a[1] - about[1]];
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  return [about[0] + c * x - s * y, about[1] + s * x + c * y, a[2]];
};

export function poseAt(m: Motion, timeS: number): HorsePose {
  const h = m.withersM;
  const cycle = 2 * Math.PI * m.strideAt(timeS);
  const lively = m.springAt(timeS);
  const bodyX = m.bodyXAt(timeS);
  const sway = 0.008 * h * Math.sin(cycle);
  const surge = 0.006 * lively * h * Math.cos(2 * cycle + 1);
  const withers: Vec = [bodyX + surge, sway, h + bobM(m, timeS, 'fore')];
  const croup: Vec = [
    withers[0] - BACK_H * m.build.length * h,
    -sway,
    h + m.croupAboveM + bobM(m, timeS, 'hind'),
  ];
  // The nod is laid on the difference to the withers, so that its range is exact.
  const { aboveM: above, turnRad } = m.headAt(timeS);
  const straight: Vec = [withers[0] + (0.475 - 0.25 * (above - 0.1)) * h, sway, withers[2] + above];
  const face = radians(-54 - 40 * (above - 0.1));
  const nose = add(straight, times([Math.cos(face), 0, Math.sin(face)], HEAD_H * h));
  // The neck takes half of the turn, the head the other half.
  const poll = turnLeft(straight, withers, turnRad / 2);
  const muzzle = turnLeft(turnLeft(nose, withers, turnRad / 2), poll, turnRad / 2);
  const limbs = Object.fromEntries(
    LIMBS.map((limb) => [
      limb,
      isFore(limb) ? foreLimb(m, limb, timeS, withers) : hindLimb(m, limb, timeS, croup),
    ]),
  ) as Record<Limb, LimbPose>;
  return {
    timeS,
    bodyX,
    withers,
    croup,
    tailhead: add(croup, [-0.215 * h, 0, -0.06 * h]),
    poll,
    muzzle,
    limbs,
  };
}

/** Point of hock: the rear outline, behind the joint and at right angles to the cannon. */
export function pointOfHock(m: Motion, limb: LimbPose): Vec {
  const cannon = unit(minus(limb.middle, limb.fetlock));
  const back: Vec = [-cannon[2], 0, cannon[0]];
  return add(limb.middle, add(times(back, 0.045 * m.withersM), times(cannon, 0.018 * m.withersM)));
}

/** How far a limb is stretched: hip or elbow to fetlock over what its bones allow; at most 1. */
export function stretch(m: Motion, name: Limb, limb: LimbPose): number {
  const h = m.withersM;
  const flat = (a: Vec, b: Vec): number => Math.hypot(a[0] - b[0], a[2] - b[2]);
  if (isFore(name)) return flat(limb.upper, limb.fetlock) / ((BONES_H.radius + BONES_H.foreCannon) * h);
  const both = add([BONES_H.femur, 0, 0], times(turn([1, 0, 0], CANNON_TO_FEMUR), BONES_H.hindCannon));
  return flat(limb.top, limb.fetlock) / ((length(both) + BONES_H.tibia) * h);
}

/** Every keypoint, path metres; points of the trunk's side lie on the side that is seen. */
export function keypoints(m: Motion, pose: HorsePose, seen: 'left' | 'right'): Record<PointName, Vec> {
  const h = m.withersM;
  const { LH, LF, RH, RF } = pose.limbs;
  const shoulder = (limb: LimbPose): Vec => add(limb.top, [0.022 * h, Math.sign(limb.top[1]) * 0.012 * h, 0]);
  const near = seen === 'left' ? LF : RF;
  return {
    muzzle: pose.muzzle,
    poll: pose.poll,
    withers: pose.withers,
    croup: pose.croup,
    tailhead: pose.tailhead,
    point_of_shoulder: shoulder(near),
    point_of_elbow: add(near.upper, [-0.03 * h, 0, 0]),
    left_fore_knee: LF.middle,
    left_fore_fetlock: LF.fetlock,
    left_fore_hoof: LF.toe,
    left_hind_hock: pointOfHock(m, LH),
    left_hind_fetlock: LH.fetlock,
    left_hind_hoof: LH.toe,
    right_fore_knee: RF.middle,
    right_fore_fetlock: RF.fetlock,
    right_fore_hoof: RF.toe,
    right_hind_hock: pointOfHock(m, RH),
    right_hind_fetlock: RH.fetlock,
    right_hind_hoof: RH.toe,
    left_point_of_shoulder: shoulder(LF),
    right_point_of_shoulder: shoulder(RF),
  };
}
