/**
 * The core alone: exact points of drawn walks with the noise of real ones (check 34 of the measures, measured on the
 * trajectories published by Niknejad et al. 2023, J ASABE 66:865), without pictures, network or ground motion.
 */
import type { Observed } from '../../src/pipeline.ts';
import { POINT_NAMES, type PointName } from '../../src/points.ts';
import type { HorsePose, Observation, PoseFrame } from '../../src/pose/types.ts';
import { LANES } from '../../src/track/lens.ts';
import { IDENTITY } from '../../src/track/similarity.ts';
import type { MotionStep } from '../../src/track/types.ts';
import { noisePct, numbers } from '../support/kinematic.ts';
import { inPicture, project } from '../truth/camera.ts';
import { add, times } from '../truth/curves.ts';
import { inYard } from '../truth/path.ts';
import { lastsS, motionOf, type ClipPlan } from '../truth/plans.ts';
import { cameraOf, truthOf, type TruthFile, type TruthFrame } from '../truth/truth.ts';
import { samplesOf } from './compare.ts';
import type { Sample } from './figures.ts';
import type { BenchClip } from './set.ts';

/** In the middle of check 34's 4 - 12 %. */
const DROP_OUT = 0.08;
const SCORE = 0.9;

type Random = ReturnType<typeof numbers>;

/** The same walk for a camera that stands where that of the clip is half way, and neither turns nor shakes. */
export function fromStillCamera(plan: ClipPlan): ClipPlan {
  const { placeM, speedMps } = plan.camera;
  return {
    ...plan,
    camera: {
      ...plan.camera,
      placeM: add(placeM, times(speedMps, lastsS(plan) / 2)),
      speedMps: [0, 0, 0],
      follow: false,
      shakeDeg: 0,
      shakeM: 0,
    },
  };
}

/** Withers height in the picture, px. */
function heightPx(plan: ClipPlan, timeS: number): number {
  const { bodyXAt, withersM } = motionOf(plan);
  const camera = cameraOf(plan)(timeS);
  const at = (z: number): number => project(camera, inYard(plan.path, [bodyXAt(timeS), 0, z])).y;
  return at(0) - at(withersM);
}

function seenPoint(
  plan: ClipPlan,
  frame: TruthFrame,
  name: PointName,
  hPx: number,
  random: Random,
): Observation | null {
  const [x, y] = frame.points[POINT_NAMES.indexOf(name)] ?? [NaN, NaN];
  const [sx, sy] = noisePct(name, frame.view === 'right' ? 'right' : 'left');
  const noisy = {
    x: x + (sx / 100) * hPx * random.normal(),
    y: y + (sy / 100) * hPx * random.normal(),
    score: SCORE,
  };
  const lost = name.includes('hoof') && random.uniform() < DROP_OUT;
  return lost || !inPicture(plan.camera, { x, y }) ? null : noisy;
}

function horseOf(plan: ClipPlan, frame: TruthFrame, random: Random): HorsePose | null {
  const hPx = heightPx(plan, frame.timeS);
  const seen = POINT_NAMES.flatMap((name) => {
    const point = seenPoint(plan, frame, name, hPx, random);
    return point ? [[name, point] as const] : [];
  });
  if (seen.length === 0) return null;
  const [xs, ys] = [seen.map(([, p]) => p.x), seen.map(([, p]) => p.y)];
  return {
    box: [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)],
    view: frame.view,
    points: Object.fromEntries(seen),
  };
}

/** What would be seen of the clip with points of that noise. */
export function observedExactly(plan: ClipPlan, truth: TruthFile, seed: number): Observed {
  const random = numbers(seed);
  const { widthPx, heightPx: high, fps } = plan.camera;
  const frames = truth.frames.map((frame): PoseFrame => ({
    timeS: frame.timeS,
    horse: horseOf(plan, frame, random),
    people: [],
    handlerFeet: [],
  }));
  return {
    clip: {
      ...{ name: 'none', sizeBytes: 0, container: 'none', codec: 'none', widthPx, heightPx: high },
      ...{ rotationDeg: 0, startS: 0, durationS: lastsS(plan), meanFps: fps, decoder: 'webcodecs' },
    },
    frames,
    motion: frames.map(({ timeS }) => ({ timeS, toPrevious: IDENTITY, inliers: 0, features: 0, ok: true })),
    ending: null,
  };
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

export const NOTHING_HIDDEN = Object.fromEntries(POINT_NAMES.map((name) => [name, false])) as Record<
  PointName,
  boolean
>;

/** The same walk for a camera that turns after the horse, and neither shakes nor reads its rows one after the other. */
const fromTurningCamera = (plan: ClipPlan): ClipPlan => ({
  ...plan,
  camera: { ...plan.camera, shakeDeg: 0, shakeM: 0, readoutS: 0 },
});

/** As measureClips, without pictures. A horse that turns would leave the picture of a camera that stands. */
export function measureExactly(clips: readonly BenchClip[]): Sample[] {
  return clips.flatMap(({ plan, groups }) => {
    const turns = plan.path.legs.length > 1;
    const simple = turns ? fromTurningCamera(plan) : fromStillCamera(plan);
    const truth = truthOf(simple, () => NOTHING_HIDDEN);
    const seen = observedExactly(simple, truth, plan.scene.seed);
    const times = seen.frames.map(({ timeS }) => timeS);
    return samplesOf(turns ? { ...seen, motion: exactSteps(simple, times) } : seen, truth, groups);
  });
}
