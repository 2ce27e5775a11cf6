/**
 * The true value of the standing measures: means over the pictures. Lengths in m, angles in degrees; x along the horse,
 * forwards. Not given: thickness of the throat, which no point and no print of the drawn horse fixes.
 */
import { LIMBS, type Limb, type Side } from '../../src/points.ts';
import { minus, length, type Vec } from './curves.ts';
import type { Camera } from './camera.ts';
import type { PerLimb } from './gait.ts';
import { trunkRings } from './horseSkin.ts';
import { inYard } from './path.ts';
import { motionOf, type ClipPlan } from './plans.ts';
import { keypoints, poseAt, type HorsePose, type LimbPose } from './pose.ts';
import type { Span } from './spans.ts';
import type { TruthFrame, YardStance } from './truth.ts';

type Two = Readonly<Record<Side, number>>;
type Ends = Readonly<Record<'fore' | 'hind', number>>;

export interface StandMeasures {
  readonly withersM: number;
  readonly croupAboveWithersM: number;
  readonly croupAboveWithersH: number;
  /** How far the left hoof stands ahead of the right one. */
  readonly leftAheadM: Ends;
  /** Between left and right prints, across. */
  readonly baseWidthM: Ends;
  /** From the hind print forward to the fore print. */
  readonly hindToForeM: Two;
  /** Point of shoulder ahead of the fore toe: leaning over the shoulder where it is large. */
  readonly shoulderAheadOfToeM: Two;
  /** From upright: positive where the upper end of the cannon bone lies ahead of its lower end. */
  readonly cannonLeanDeg: PerLimb;
  /** From level: fetlock joint to the middle of the coronet; and to the toe tip, as points show it. */
  readonly pasternSlopeDeg: PerLimb;
  readonly fetlockToToeSlopeDeg: PerLimb;
  /** At the hock joint between stifle and fetlock joint. */
  readonly hockAngleDeg: Two;
  /** From level: point of shoulder up to the withers; withers up to the poll; poll down to the muzzle. */
  readonly shoulderSlopeDeg: number;
  readonly neckSlopeDeg: number;
  readonly faceSlopeDeg: number;
  readonly pollHeightM: number;
  readonly pollAboveWithersM: number;
  /** Trunk at the withers, top to underline, and from there to the ground. */
  readonly girthDepthM: number;
  readonly legLengthM: number;
  /** Point of shoulder to the hindmost outline of the trunk, level. */
  readonly bodyLengthM: number;
  readonly bodyLengthH: number;
  /** Between the horse's long axis and the picture's plane: positive where the forehand is nearer to the camera. */
  readonly cameraObliqueDeg: number;
}

export interface TrueStand {
  readonly kind: 'stand';
  /** While the whole horse is in the picture. */
  readonly startS: number;
  readonly endS: number;
  /** From where it is seen most of the time. */
  readonly view: TruthFrame['view'];
  /** Which hind stands back; null where they are level. */
  readonly hindBack: Side | null;
  readonly measures: StandMeasures;
}

const degrees = (radians: number): number => (radians * 180) / Math.PI;
const mean = (list: readonly number[]): number => list.reduce((s, x) => s + x, 0) / list.length;
const perLimb = (of: (limb: Limb) => number): PerLimb =>
  Object.fromEntries(LIMBS.map((limb) => [limb, of(limb)])) as Record<Limb, number>;
const two = (of: (side: Side) => number): Two => ({ left: of('left'), right: of('right') });

/** Of a line that goes up from `low` to `high`, seen from the side: above level, 90 = upright, less = forward. */
const slopeDeg = (low: Vec, high: Vec): number => degrees(Math.atan2(high[2] - low[2], high[0] - low[0]));
const angleDeg = (a: Vec, at: Vec, b: Vec): number => {
  const [u, v] = [minus(a, at), minus(b, at)];
  const dot = u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
  return degrees(Math.acos(dot / (length(u) * length(v))));
};
const limbOf = (side: Side, end: 'fore' | 'hind'): Limb =>
  `${side === 'left' ? 'L' : 'R'}${end === 'fore' ? 'F' : 'H'}`;

function stance(
  list: readonly YardStance[],
): Pick<StandMeasures, 'leftAheadM' | 'baseWidthM' | 'hindToForeM'> {
  const at = (side: Side, end: 'fore' | 'hind'): { x: number; y: number } => {
    const found = list.find((s) => s.limb === limbOf(side, end));
    return found ? found.printM : { x: NaN, y: NaN };
  };
  const across = (of: 'x' | 'y'): Ends => ({
    fore: at('left', 'fore')[of] - at('right', 'fore')[of],
    hind: at('left', 'hind')[of] - at('right', 'hind')[of],
  });
  return {
    leftAheadM: across('x'),
    baseWidthM: across('y'),
    hindToForeM: two((side) => at(side, 'fore').x - at(side, 'hind').x),
  };
}

function legAngles(
  limbs: Readonly<Record<Limb, LimbPose>>,
): Pick<StandMeasures, 'cannonLeanDeg' | 'pasternSlopeDeg' | 'fetlockToToeSlopeDeg' | 'hockAngleDeg'> {
  return {
    cannonLeanDeg: perLimb((l) => 90 - slopeDeg(limbs[l].fetlock, limbs[l].middle)),
    // From level behind the hoof: the pastern leans back, as does the hoof's wall.
    pasternSlopeDeg: perLimb((l) => 180 - slopeDeg(limbs[l].coronet, limbs[l].fetlock)),
    fetlockToToeSlopeDeg: perLimb((l) => 180 - slopeDeg(limbs[l].toe, limbs[l].fetlock)),
    hockAngleDeg: two((side) => {
      const { upper, middle, fetlock } = limbs[limbOf(side, 'hind')];
      return angleDeg(upper, middle, fetlock);
    }),
  };
}

/** Underline at the withers and the hindmost outline, from the skin that is drawn. */
function trunkOf(plan: ClipPlan, pose: HorsePose): { girthDepthM: number; hindmostX: number } {
  const rings = trunkRings(motionOf(plan), pose, plan.coat);
  const fromWithers = (x: number): number => Math.abs(x - pose.withers[0]);
  const [girth] = [...rings].sort((a, b) => fromWithers(a.centre[0]) - fromWithers(b.centre[0]));
  return {
    girthDepthM: 2 * (girth?.a[2] ?? NaN),
    hindmostX: Math.min(...rings.map((ring) => ring.centre[0])),
  };
}

function obliqueDeg(plan: ClipPlan, camera: Camera, pose: HorsePose): number {
  const axis = minus(inYard(plan.path, pose.withers), inYard(plan.path, pose.croup));
  const ahead = axis[0] * camera.forward[0] + axis[1] * camera.forward[1];
  return -degrees(
    Math.asin(ahead / (Math.hypot(axis[0], axis[1]) * Math.hypot(...camera.forward.slice(0, 2)))),
  );
}

function measuresAt(
  plan: ClipPlan,
  camera: Camera,
  seen: Side,
  list: readonly YardStance[],
  timeS: number,
): StandMeasures {
  const motion = motionOf(plan);
  const pose = poseAt(motion, timeS);
  const points = keypoints(motion, pose, seen);
  const { withers, croup, poll, muzzle } = pose;
  const h = withers[2];
  const { girthDepthM, hindmostX } = trunkOf(plan, pose);
  const shoulder = (side: Side): Vec => points[`${side}_point_of_shoulder`];
  const bodyLengthM = points.point_of_shoulder[0] - hindmostX;
  return {
    withersM: h,
    croupAboveWithersM: croup[2] - h,
    croupAboveWithersH: (croup[2] - h) / h,
    ...stance(list),
    shoulderAheadOfToeM: two((side) => shoulder(side)[0] - pose.limbs[limbOf(side, 'fore')].toe[0]),
    ...legAngles(pose.limbs),
    shoulderSlopeDeg: 180 - slopeDeg(points.point_of_shoulder, withers),
    neckSlopeDeg: slopeDeg(withers, poll),
    faceSlopeDeg: -slopeDeg(poll, muzzle),
    pollHeightM: poll[2],
    pollAboveWithersM: poll[2] - h,
    girthDepthM,
    legLengthM: h - girthDepthM,
    bodyLengthM,
    bodyLengthH: bodyLengthM / h,
    cameraObliqueDeg: obliqueDeg(plan, camera, pose),
  };
}

/** The mean of all numbers of one shape. */
function meanOf<T>(list: readonly T[]): T {
  const [first] = list;
  if (typeof first === 'number') return mean(list as readonly number[]) as T;
  const keys = Object.keys(first as object) as (keyof T)[];
  return Object.fromEntries(keys.map((key) => [key, meanOf(list.map((one) => one[key]))])) as T;
}

export function standPass(
  plan: ClipPlan,
  camera: (timeS: number) => Camera,
  span: Span,
  frames: readonly TruthFrame[],
  list: readonly YardStance[],
): TrueStand {
  const own = frames.filter(({ timeS }) => timeS >= span.startS && timeS <= span.endS);
  const count = (view: string): number => own.filter((f) => f.view === view).length;
  const [view] = (['left', 'right', 'away', 'towards'] as const).toSorted((a, b) => count(b) - count(a));
  const seen: Side = view === 'right' ? 'right' : 'left';
  const measures = meanOf(own.map(({ timeS }) => measuresAt(plan, camera(timeS), seen, list, timeS)));
  const { hind } = measures.leftAheadM;
  return {
    kind: 'stand',
    startS: span.startS,
    endS: span.endS,
    view: view ?? 'left',
    hindBack: hind === 0 ? null : hind > 0 ? 'right' : 'left',
    measures,
  };
}
