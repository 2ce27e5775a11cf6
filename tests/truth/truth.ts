/** What is true of a drawn clip: prints, events, every point of every picture, every measure. Plain data. */
import { isFore, LIMBS, POINT_NAMES, type Limb, type PointName } from '../../src/points.ts';
import type { MeasureName } from '../../src/gait/types.ts';
import { cameraOf, inPicture, project, type CameraPlan } from './camera.ts';
import { phaseOf, speedMps, stances, type TrueStance, type WalkPlan } from './gait.ts';
import type { ClipPlan } from './plans.ts';
import { keypoints, poseAt } from './pose.ts';

export const TRUTH_SCHEMA = 'ledwalk-truth/1';

export type TrueMeasures = Readonly<Record<MeasureName, number>> & {
  readonly limbPhaseFraction: Readonly<Record<Limb, number>>;
};

export interface TruthFile {
  readonly schema: typeof TRUTH_SCHEMA;
  readonly about: string;
  readonly walk: WalkPlan;
  readonly camera: CameraPlan;
  readonly handlerSide: 'left' | 'right';
  /** Which way the horse goes in the picture. */
  readonly direction: 'left' | 'right';
  readonly measures: TrueMeasures;
  /** Times in s from the first picture; places in path metres (x along travel, y to the horse's left). */
  readonly stances: readonly (TrueStance & {
    readonly printPx: { readonly x: number; readonly y: number };
  })[];
  readonly points: readonly PointName[];
  readonly frames: readonly {
    readonly timeS: number;
    /** The whole horse is in the picture. */
    readonly whole: boolean;
    /** In the order of `points`: [x px, y px, 1 = seen or 0 = hidden behind horse or handler]; pixel centres at whole numbers. */
    readonly points: readonly (readonly [number, number, 0 | 1])[];
  }[];
}

const GRAVITY_MPS2 = 9.81;
/** Leg length over withers height in the Froude number (Griffin et al. 2004, J Exp Biol 207:4215). */
const LEG_H = 0.87;

export function trueMeasures(p: WalkPlan): TrueMeasures {
  const speed = speedMps(p);
  return {
    strideLengthM: p.strideLengthM,
    strideDurationS: p.strideDurationS,
    cadencePerMin: 60 / p.strideDurationS,
    speedMps: speed,
    overtrackM: p.overtrackM,
    lateralLagFraction: p.lag,
    dutyFactorFore: p.dutyFore,
    dutyFactorHind: p.dutyHind,
    headAboveWithersM: p.headAboveM,
    headNodM: p.nodM,
    croupAboveWithersM: p.croupAboveM,
    froude: speed ** 2 / (GRAVITY_MPS2 * LEG_H * p.withersM),
    limbPhaseFraction: Object.fromEntries(LIMBS.map((limb) => [limb, phaseOf(p, limb)])) as Record<
      Limb,
      number
    >,
  };
}

const rounded = (x: number, digits: number): number => Number(x.toFixed(digits));

/** Hidden points come from the drawing itself. */
export function truthOf(
  plan: ClipPlan,
  hidden: (frame: number) => Readonly<Record<PointName, boolean>>,
): TruthFile {
  const { walk, camera: cameraPlan } = plan;
  const camera = cameraOf(cameraPlan);
  const frames = Array.from({ length: cameraPlan.frames }, (_, i) => {
    const timeS = i / cameraPlan.fps;
    const pose = poseAt(walk, timeS);
    const places = keypoints(walk, pose, cameraPlan.sees);
    const px = POINT_NAMES.map((name) => project(camera, places[name]));
    const back = project(camera, [pose.tailhead[0] - 0.17 * walk.withersM, 0, walk.withersM]);
    const behind = hidden(i);
    return {
      timeS: rounded(timeS, 6),
      whole: [...px, back].every((p) => inPicture(cameraPlan, p)),
      points: POINT_NAMES.map(
        (name, k) => [rounded(px[k]?.x ?? 0, 2), rounded(px[k]?.y ?? 0, 2), behind[name] ? 0 : 1] as const,
      ),
    };
  });
  return {
    schema: TRUTH_SCHEMA,
    about: 'A drawn horse, not a filmed one. Yard, horse and handler are invented. See README.md beside it.',
    walk,
    camera: cameraPlan,
    handlerSide: plan.handlerSide,
    direction: cameraPlan.sees === 'right' ? 'right' : 'left',
    measures: trueMeasures(walk),
    stances: stances(walk, cameraPlan.frames / cameraPlan.fps).map((s) => {
      const at = project(camera, [s.printM.x, s.printM.y, 0]);
      return { ...s, printPx: { x: rounded(at.x, 2), y: rounded(at.y, 2) } };
    }),
    points: POINT_NAMES,
    frames,
  };
}

/** From each fore print to the next hind print of the same side, along the path, m. */
export function overtracksM(list: readonly TrueStance[], side: 'L' | 'R'): number[] {
  const of = (fore: boolean): TrueStance[] =>
    list.filter((s) => s.limb.startsWith(side) && isFore(s.limb) === fore);
  return of(true).flatMap((fore) => {
    const hind = of(false).find((h) => h.onS > fore.onS);
    return hind ? [hind.printM.x - fore.printM.x] : [];
  });
}
