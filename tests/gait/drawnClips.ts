/** What would be seen of a drawn clip, whether its camera stands or turns: exact points with the noise of real ones. */
import type { MotionStep, ObservedFrame } from '../../src/track/types.ts';
import { exactSteps, observedExactly } from '../accuracy/exact.ts';
import { numbers } from '../support/kinematic.ts';
import { mirrored as mirroredFrames } from '../track/synthetic.ts';
import type { ClipPlan } from '../truth/plans.ts';
import type { TruthFile } from '../truth/truth.ts';

/** Share of the frames that the network is taken to name wrongly. */
const WRONG_VIEWS = 0.15;
const VIEWS = ['left', 'right', 'away', 'towards', 'none'] as const;

export interface Clip {
  readonly frames: readonly ObservedFrame[];
  readonly motion: readonly MotionStep[] | null;
  readonly picture: { readonly widthPx: number; readonly heightPx: number };
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
