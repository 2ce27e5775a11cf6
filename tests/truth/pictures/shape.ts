/**
 * Changes the proportions of the drawn horse, skin and points alike: longer or shorter, broader, on longer legs, with
 * the head turned by a bend of the neck. Path metres in, path metres out.
 */
import { LIMBS, limbSide, type Limb, type PointName } from '../../../src/points.ts';
import { add, minus, radians, times, turn, unit, type Vec } from '../curves.ts';
import type { Ring } from '../loft.ts';
import type { Motion } from '../motion.ts';
import { keypoints, type HorsePose } from '../pose.ts';
import type { Carriage } from './horses.ts';

export interface Shape {
  /** Factors along and across the horse. */
  readonly lengthwise: number;
  readonly sideways: number;
  /** Elbow and stifle higher above the ground by this, withers heights; withers and hooves stay. */
  readonly legsH: number;
  /** Thickness of the lower legs, length of the head, of the tail, thickness of the tail. */
  readonly bone: number;
  readonly head: number;
  readonly tailLong: number;
  readonly tailThick: number;
}

/** Where x, y, z go. */
export type Warp = (x: number, y: number, z: number) => Vec;

export interface Warps {
  readonly trunk: Warp;
  /** Of neck and head: the bend, then the proportions. */
  readonly head: Warp;
}

/** The head of a pose, longer or shorter and its nose further out. */
export function posed(pose: HorsePose, shape: Shape, { noseUpDeg }: Carriage): HorsePose {
  const face = turn(times(minus(pose.muzzle, pose.poll), shape.head), radians(noseUpDeg));
  return { ...pose, muzzle: add(pose.poll, face) };
}

/** An arc from the front of the withers to the poll; before it all stays, beyond it all turns. */
function bend(pose: HorsePose, h: number, turnRad: number): Warp {
  if (Math.abs(turnRad) < 1e-3) return (x, y, z) => [x, y, z];
  const from = pose.withers[0] + 0.08 * h;
  const long = Math.max(0.15 * h, pose.poll[0] - from);
  const radius = long / turnRad;
  return (x, y, z) => {
    const angle = (Math.min(long, Math.max(0, x - from)) / long) * turnRad;
    const beyond = x - from - (angle / turnRad) * long;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    return [from + radius * s + beyond * c - y * s, radius * (1 - c) + beyond * s + y * c, z];
  };
}

export function warpsOf(pose: HorsePose, h: number, shape: Shape, { headTurnDeg }: Carriage): Warps {
  const raised = shape.legsH * h;
  const trunk: Warp = (x, y, z) => [
    pose.bodyX + shape.lengthwise * (x - pose.bodyX),
    shape.sideways * y,
    z > 0 && z < h ? z + raised * Math.sin((Math.PI * z) / h) ** 2 : z,
  ];
  const bent = bend(pose, h, radians(headTurnDeg));
  return { trunk, head: (x, y, z) => trunk(...bent(x, y, z)) };
}

/** Full below the forearm and gaskin, none at the elbow and stifle. */
export const boneAt = (shape: Shape, zH: number): number =>
  1 + (shape.bone - 1) * Math.min(1, Math.max(0, (0.58 - zH) / 0.16));

export const boned = (rings: readonly Ring[], shape: Shape, h: number): Ring[] =>
  rings.map((ring) => {
    const k = boneAt(shape, ring.centre[2] / h);
    return { ...ring, a: times(ring.a, k), b: times(ring.b, k) };
  });

/** Thighs end below the rump, however low the croup: seen from behind they would stand out of it. */
export const underRump = (rings: readonly Ring[], croup: Vec, h: number): Ring[] =>
  rings.map((ring) => {
    const behind = (croup[0] - ring.centre[0]) / h;
    const top = croup[2] - (0.045 + 0.6 * Math.max(0, behind - 0.08)) * h;
    const [up, room] = [Math.hypot(ring.a[2], ring.b[2]), top - ring.centre[2]];
    if (up <= room) return ring;
    const k = Math.max(0.15, room / up);
    return { ...ring, a: times(ring.a, k), b: times(ring.b, k) };
  });

export const tailed = (rings: readonly Ring[], shape: Shape, tailhead: Vec): Ring[] =>
  rings.map((ring) => ({
    ...ring,
    centre: add(tailhead, times(minus(ring.centre, tailhead), shape.tailLong)),
    a: times(ring.a, shape.tailThick),
    b: times(ring.b, shape.tailThick),
  }));

/** The rear outline of the hock as thick as it is drawn: see pointOfHock of pose.ts. */
function hockOutline(m: Motion, pose: HorsePose, limb: Limb, shape: Shape): Vec {
  const { middle, fetlock } = pose.limbs[limb];
  const cannon = unit(minus(middle, fetlock));
  const thick = m.build.legs * boneAt(shape, middle[2] / m.withersM);
  const back = (0.045 + 0.043 * (thick - 1)) * m.withersM;
  return add(middle, add(times([-cannon[2], 0, cannon[0]], back), times(cannon, 0.018 * m.withersM)));
}

/** Every point where the drawing has it. */
export function pointsOf(
  m: Motion,
  pose: HorsePose,
  shape: Shape,
  warps: Warps,
  seen: 'left' | 'right',
): Record<PointName, Vec> {
  const straight: Record<PointName, Vec> = { ...keypoints(m, pose, seen) };
  for (const limb of LIMBS)
    if (limb.endsWith('H')) straight[`${limbSide(limb)}_hind_hock`] = hockOutline(m, pose, limb, shape);
  return Object.fromEntries(
    Object.entries(straight).map(([name, at]) => [
      name,
      (name === 'muzzle' || name === 'poll' ? warps.head : warps.trunk)(...at),
    ]),
  ) as Record<PointName, Vec>;
}
