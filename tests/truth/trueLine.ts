/**
 * The true value of every measure of a pass away from the camera or back to it. "Aside" is across the line that the
 * body follows, where it is there: path metres, y to the horse's left. The body's midline runs through the middle
 * between withers and croup, so that the trunk's sway is not counted as the path's.
 */
import { LIMBS, limbSide, type Limb } from '../../src/points.ts';
import type { Camera } from './camera.ts';
import { minus, mix, type Vec } from './curves.ts';
import { sideSign, type PerLimb, type WalkPlan } from './gait.ts';
import { hoofAt } from './hooves.ts';
import { inYard } from './path.ts';
import { motionOf, type ClipPlan } from './plans.ts';
import { poseAt, type HorsePose } from './pose.ts';
import type { Span } from './spans.ts';
import { bySide, foreThenHind, inSpan, type BySide } from './trueSide.ts';
import type { TruthFrame, YardStance } from './truth.ts';

/** Left positive; shares of the time in which it lies farther aside than the tolerance. */
export interface Aside {
  readonly meanM: number;
  readonly leftShare: number;
  readonly rightShare: number;
}

export interface TrueLinePass {
  readonly kind: 'away' | 'towards';
  /** While the whole horse is in the picture and goes straight on. */
  readonly startS: number;
  readonly endS: number;
  readonly path: { readonly rmsM: number; readonly driftDeg: number };
  readonly hindOnForeM: BySide;
  readonly baseWidthM: { readonly fore: number; readonly hind: number };
  readonly swingOutM: PerLimb;
  readonly head: { readonly toleranceM: number; readonly poll: Aside; readonly muzzle: Aside };
}

/** The head counts as straight within a hand's breadth in all: our own choice, no source. */
const HEAD_TOLERANCE_M = 0.05;
const SWING_SAMPLES = 200;

const mean = (list: readonly number[]): number => list.reduce((s, x) => s + x, 0) / list.length;
const degrees = (radians: number): number => (radians * 180) / Math.PI;
/** Between -180 and 180. */
const turned = (deg: number): number => ((((deg + 180) % 360) + 360) % 360) - 180;

/** The line with the least squares of distances across it (Pearson 1901, Phil Mag 2:559): heading and RMS distance. */
export function straightLine(places: readonly Vec[]): { headingRad: number; rmsM: number } {
  const [mx, my] = [mean(places.map((p) => p[0])), mean(places.map((p) => p[1]))];
  const sum = (of: (x: number, y: number) => number): number =>
    mean(places.map((p) => of(p[0] - mx, p[1] - my)));
  const [xx, yy, xy] = [sum((x) => x * x), sum((_, y) => y * y), sum((x, y) => x * y)];
  const axis = Math.atan2(2 * xy, xx - yy) / 2;
  const [first, last] = [places[0] ?? [0, 0, 0], places[places.length - 1] ?? [0, 0, 0]];
  const along = (last[0] - first[0]) * Math.cos(axis) + (last[1] - first[1]) * Math.sin(axis);
  const across = (xx + yy) / 2 - Math.hypot((xx - yy) / 2, xy);
  return { headingRad: along < 0 ? axis + Math.PI : axis, rmsM: Math.sqrt(Math.max(0, across)) };
}

const middleOf = (pose: HorsePose): Vec => mix(pose.withers, pose.croup, 0.5);

/** Drift: from the line of the camera's axis to that of the path, degrees to the horse's left. */
function pathOf(
  plan: ClipPlan,
  camera: (timeS: number) => Camera,
  kind: TrueLinePass['kind'],
  poses: readonly HorsePose[],
): TrueLinePass['path'] {
  const { headingRad, rmsM } = straightLine(poses.map((pose) => inYard(plan.path, middleOf(pose))));
  const looks = poses.map(({ timeS }) => camera(timeS).forward);
  const axis = Math.atan2(mean(looks.map((v) => v[1])), mean(looks.map((v) => v[0])));
  return { rmsM, driftDeg: turned(degrees(headingRad - axis) - (kind === 'towards' ? 180 : 0)) };
}

/** The swing's largest departure from the line between its prints, outward positive. */
function departureM(walk: WalkPlan, from: YardStance, to: YardStance): number {
  const sign = sideSign(limbSide(from.limb));
  const lineY = (x: number): number => {
    const share = (x - from.printM.x) / (to.printM.x - from.printM.x);
    return from.printM.y + share * (to.printM.y - from.printM.y);
  };
  const outs = Array.from({ length: SWING_SAMPLES + 1 }, (_, i) => {
    const { toe } = hoofAt(walk, from.limb, from.offS + (i / SWING_SAMPLES) * (to.onS - from.offS));
    return sign * (toe.y - lineY(toe.x));
  });
  return outs.reduce((most, out) => (Math.abs(out) > Math.abs(most) ? out : most), 0);
}

function swingOut(walk: WalkPlan, list: readonly YardStance[], limb: Limb): number {
  const own = list.filter((s) => s.limb === limb).sort((a, b) => a.onS - b.onS);
  return mean(
    own.slice(1).flatMap((to, i) => {
      const from = own[i];
      return from ? [departureM(walk, from, to)] : [];
    }),
  );
}

function baseWidth(list: readonly YardStance[], left: Limb, right: Limb): number {
  const y = (limb: Limb): number => mean(list.filter((s) => s.limb === limb).map((s) => s.printM.y));
  return y(left) - y(right);
}

function asideOf(poses: readonly HorsePose[], point: 'poll' | 'muzzle'): Aside {
  const offsets = poses.map((pose) => minus(pose[point], middleOf(pose))[1]);
  const share = (sign: 1 | -1): number => mean(offsets.map((y) => (sign * y > HEAD_TOLERANCE_M ? 1 : 0)));
  return { meanM: mean(offsets), leftShare: share(1), rightShare: share(-1) };
}

export function linePass(
  plan: ClipPlan,
  walk: WalkPlan,
  camera: (timeS: number) => Camera,
  span: Span & { readonly kind: TrueLinePass['kind'] },
  frames: readonly TruthFrame[],
  all: readonly YardStance[],
): TrueLinePass {
  const list = inSpan(all, span);
  const motion = motionOf(plan);
  const poses = frames
    .filter(({ timeS }) => timeS >= span.startS && timeS <= span.endS)
    .map(({ timeS }) => poseAt(motion, timeS));
  return {
    kind: span.kind,
    startS: span.startS,
    endS: span.endS,
    path: pathOf(plan, camera, span.kind, poses),
    hindOnForeM: bySide((side) =>
      foreThenHind(list, side).map(({ fore, hind }) => hind.printM.y - fore.printM.y),
    ),
    baseWidthM: { fore: baseWidth(list, 'LF', 'RF'), hind: baseWidth(list, 'LH', 'RH') },
    swingOutM: Object.fromEntries(LIMBS.map((limb) => [limb, swingOut(walk, list, limb)])) as Record<
      Limb,
      number
    >,
    head: {
      toleranceM: HEAD_TOLERANCE_M,
      poll: asideOf(poses, 'poll'),
      muzzle: asideOf(poses, 'muzzle'),
    },
  };
}
