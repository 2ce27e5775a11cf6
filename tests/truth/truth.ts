/** What is true of a drawn clip: prints, events, every point of every picture, every measure. Plain data. */
import { POINT_NAMES, type PointName, type Side } from '../../src/points.ts';
import { cameraAt, inPicture, seenAt, type Camera, type Px } from './camera.ts';
import type { Vec } from './curves.ts';
import { stances, type TrueStance } from './gait.ts';
import { inYard } from './path.ts';
import { frameTimeS, lastsS, motionOf, type ClipPlan } from './plans.ts';
import { keypoints, poseAt } from './pose.ts';
import { standStances } from './stand.ts';
import { passesOf, type TruePass } from './trueMeasures.ts';

export const TRUTH_SCHEMA = 'ledwalk-truth/3';

export interface YardStance extends TrueStance {
  /** The print on the ground, yard metres. */
  readonly yardM: readonly [number, number];
}

export interface TruthFrame {
  readonly timeS: number;
  /** The whole horse is in the picture. */
  readonly whole: boolean;
  /** From which side it is seen. */
  readonly view: 'left' | 'right' | 'away' | 'towards';
  /** In the order of `points`: [x px, y px, 1 = seen or 0 = hidden behind horse or handler]; pixel centres at whole numbers. */
  readonly points: readonly (readonly [number, number, 0 | 1])[];
}

export interface TruthFile {
  readonly schema: typeof TRUTH_SCHEMA;
  readonly about: string;
  readonly plan: ClipPlan;
  readonly withersM: number;
  readonly passes: readonly TruePass[];
  /** Times in s from the first picture; places in path metres (x along travel, y to the horse's left) and in the yard. */
  readonly stances: readonly YardStance[];
  readonly points: readonly PointName[];
  readonly frames: readonly TruthFrame[];
}

const rounded = (x: number, digits: number): number => Number(x.toFixed(digits));

/** The camera that takes the clip, at any time. */
export function cameraOf(plan: ClipPlan): (timeS: number) => Camera {
  const motion = motionOf(plan);
  const middle = (timeS: number): Vec =>
    inYard(plan.path, [motion.bodyXAt(timeS) - 0.25 * motion.withersM, 0, 0.6 * motion.withersM]);
  return (timeS) => cameraAt(plan.camera, middle, timeS);
}

/** Seen within 45 degrees of square the side, else from before or behind. */
export function viewOf(plan: ClipPlan, camera: Camera, timeS: number): TruthFrame['view'] {
  const pose = poseAt(motionOf(plan), timeS);
  const [front, back] = [inYard(plan.path, pose.withers), inYard(plan.path, pose.croup)];
  const along: Vec = [front[0] - back[0], front[1] - back[1], 0];
  const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  const [across, ahead] = [dot(along, camera.right), dot(along, camera.forward)];
  if (Math.abs(across) >= Math.abs(ahead)) return across > 0 ? 'right' : 'left';
  return ahead > 0 ? 'away' : 'towards';
}

/** Places of all points at a time, yard metres. */
export const pointsInYard = (plan: ClipPlan, timeS: number, seen: Side): Record<PointName, Vec> => {
  const motion = motionOf(plan);
  const places = keypoints(motion, poseAt(motion, timeS), seen);
  return Object.fromEntries(POINT_NAMES.map((name) => [name, inYard(plan.path, places[name])])) as Record<
    PointName,
    Vec
  >;
};

function frameOf(
  plan: ClipPlan,
  i: number,
  hidden: Readonly<Record<PointName, boolean>>,
  camera: (timeS: number) => Camera,
): TruthFrame {
  const timeS = frameTimeS(plan.camera, i);
  const view = viewOf(plan, camera(timeS), timeS);
  const side: Side = view === 'right' ? 'right' : 'left';
  const px = (name: PointName): Px =>
    seenAt(plan.camera, camera, (s) => pointsInYard(plan, s, side)[name], timeS);
  const { withersM } = motionOf(plan);
  const tail = (s: number): Vec => {
    const { tailhead } = poseAt(motionOf(plan), s);
    return inYard(plan.path, [tailhead[0] - 0.17 * withersM, 0, withersM]);
  };
  const all = POINT_NAMES.map(px);
  return {
    timeS: rounded(timeS, 6),
    whole: [...all, seenAt(plan.camera, camera, tail, timeS)].every((p) => inPicture(plan.camera, p)),
    view,
    points: POINT_NAMES.map(
      (name, k) => [rounded(all[k]?.x ?? 0, 2), rounded(all[k]?.y ?? 0, 2), hidden[name] ? 0 : 1] as const,
    ),
  };
}

export function stancesOf(plan: ClipPlan): YardStance[] {
  const list =
    'walk' in plan.going
      ? stances(plan.going.walk, lastsS(plan))
      : standStances(plan.going.stand, lastsS(plan));
  return list.map((s) => {
    const [x, y] = inYard(plan.path, [s.printM.x, s.printM.y, 0]);
    return { ...s, yardM: [x, y] as const };
  });
}

/** Hidden points come from the drawing itself. */
export function truthOf(
  plan: ClipPlan,
  hidden: (frame: number) => Readonly<Record<PointName, boolean>>,
): TruthFile {
  const camera = cameraOf(plan);
  const frames = Array.from({ length: plan.camera.frames }, (_, i) => frameOf(plan, i, hidden(i), camera));
  const list = stancesOf(plan);
  return {
    schema: TRUTH_SCHEMA,
    about: 'A drawn horse, not a filmed one. Yard, horse and handler are invented. See README.md beside it.',
    plan,
    withersM: motionOf(plan).withersM,
    passes: passesOf(plan, camera, frames, list),
    stances: list,
    points: POINT_NAMES,
    frames,
  };
}
