/** What would be seen of a drawn clip, whether its camera stands or turns: exact points with the noise of real ones. */
import { LANES } from '../../src/track/lens.ts';
import type { MotionStep, ObservedFrame } from '../../src/track/types.ts';
import { observedExactly } from '../accuracy/exact.ts';
import { numbers } from '../support/kinematic.ts';
import { mirrored as mirroredFrames } from '../track/synthetic.ts';
import type { ClipPlan } from '../truth/plans.ts';
import { cameraOf, type TruthFile } from '../truth/truth.ts';

/** Share of the frames that the network is taken to name wrongly. */
const WRONG_VIEWS = 0.15;
const VIEWS = ['left', 'right', 'away', 'towards', 'none'] as const;

export interface Clip {
  readonly frames: readonly ObservedFrame[];
  readonly motion: readonly MotionStep[] | null;
  readonly picture: { readonly widthPx: number; readonly heightPx: number };
}
/** The exact motion of a camera that turns: each step as it would be fitted under every focal length of LANES. */
export function exactSteps(plan: ClipPlan, timesS: readonly number[]): MotionStep[] {
  const camera = cameraOf(plan);
  const longPx = Math.max(plan.camera.widthPx, plan.camera.heightPx);
  const focalPx = plan.camera.focalShare * longPx;
  const looks = timesS.map((timeS) => {
    const [x, y, z] = camera(timeS).forward;
    return { yaw: -Math.atan2(y, x), pitch: -Math.asin(z) };
  });
  return timesS.map((timeS, i) => {
    const [here, before] = [looks[i], looks[Math.max(0, i - 1)]];
    const by = (key: 'yaw' | 'pitch'): number => {
      const rad = (here?.[key] ?? 0) - (before?.[key] ?? 0);
      return focalPx * Math.tan(Math.atan2(Math.sin(rad), Math.cos(rad)));
    };
    const [x, y] = [by('yaw'), by('pitch')];
    const [toPrevious, ...turns] = LANES.map((bend) => {
      const under = (px: number): number =>
        bend === 0 ? px : (longPx / Math.sqrt(bend)) * Math.atan((px * Math.sqrt(bend)) / longPx);
      return { a: 1, b: 0, tx: under(x), ty: under(y) };
    });
    if (!toPrevious) throw new Error('no lanes');
    const bend = { value: (longPx / focalPx) ** 2, sd: 0.2 };
    return { timeS, toPrevious, turns, bend, inliers: 50, features: 50, ok: true, sdPx: 0.05 };
  });
}

/** What would be seen of a plan, with wrong views. */
export function seenOf(plan: ClipPlan, truth: TruthFile, seed = 1): Clip {
  const random = numbers(seed + 100);
  const { frames } = observedExactly(plan, truth, seed);
  const wrong = frames.map((frame) => {
    const { horse } = frame;
    const [is, which] = [random.uniform() < WRONG_VIEWS, Math.floor(random.uniform() * VIEWS.length)];
    return horse && is ? { ...frame, horse: { ...horse, view: VIEWS[which] ?? 'none' } } : frame;
  });
  const times = frames.map(({ timeS }) => timeS);
  return {
    frames: wrong,
    motion: plan.camera.follow ? exactSteps(plan, times) : null,
    picture: plan.camera,
  };
}

/** Left for right, in a picture as wide. */
export function mirrored({ frames, motion, picture }: Clip): Clip {
  const turn = (s: { a: number; b: number; tx: number; ty: number }) => ({
    a: s.a,
    b: -s.b,
    tx: -s.tx,
    ty: s.ty,
  });
  return {
    picture,
    motion:
      motion?.map((step) => ({
        ...step,
        toPrevious: turn(step.toPrevious),
        ...(step.turns ? { turns: step.turns.map(turn) } : {}),
      })) ?? null,
    frames: mirroredFrames(frames, picture.widthPx),
  };
}
