/** The whole way from a clip to its measures: frames -> points -> ground -> track -> events, strides, measures. */
import { transfer } from 'comlink';
import type { Ending } from './clip/source.ts';
import type { Frames } from './clip/client.ts';
import { isSamePicture } from './clip/repeats.ts';
import type { ClipInfo, GrayPicture, Picture } from './clip/types.ts';
import { analyseTrack } from './gait/index.ts';
import type { PointErrors } from './gait/pointErrors.ts';
import type { SidePass } from './gait/types.ts';
import type { Correction } from './horse/edits.ts';
import type { Motion } from './motion/client.ts';
import type { Keypoints } from './pose/client.ts';
import type { PoseFrame } from './pose/types.ts';
import { buildTrack } from './track/build.ts';
import { IDENTITY } from './track/similarity.ts';
import type { MotionStep, Track } from './track/types.ts';

export interface Workers {
  readonly frames: Frames;
  readonly keypoints: Keypoints;
  readonly motion: Motion;
}

/** What was seen in a clip; all else follows from it and the corrections. */
export interface Observed {
  readonly clip: ClipInfo;
  readonly frames: readonly PoseFrame[];
  readonly motion: readonly MotionStep[];
  /** How the reading ended; null where it was not read now. */
  readonly ending: Ending | null;
}

export interface Gait {
  readonly track: Track;
  readonly passes: readonly SidePass[];
  /** Made by hand, and counted in the above. */
  readonly corrections: readonly Correction[];
}

/** The picture goes to the network's worker without a copy, with all the memory that it lies in. */
const lookAt = (keypoints: Keypoints, picture: Picture): Promise<PoseFrame> =>
  keypoints.frame(transfer(picture, [picture.y.buffer]));

const kept = (gray: GrayPicture): GrayPicture => ({ ...gray, data: gray.data.slice() });

/** The horse comes first: the ground band lies below its box. */
function groundOf(motion: Motion, clip: ClipInfo, gray: GrayPicture, pose: PoseFrame): Promise<MotionStep> {
  return motion.step({
    gray,
    timeS: pose.timeS,
    pictureWidthPx: clip.widthPx,
    pictureHeightPx: clip.heightPx,
    masks: [...(pose.horse ? [pose.horse.box] : []), ...pose.people],
  });
}

/** A picture shown again counts as such only for this long: what stands still for longer is looked at again. */
const REPEATED_FOR_S = 0.25;

/** What was seen in the picture before, at the time of its repetition. */
const again = (pose: PoseFrame, timeS: number): { pose: PoseFrame; step: MotionStep } => ({
  pose: { ...pose, timeS, repeated: true },
  step: { timeS, toPrevious: IDENTITY, inliers: 0, features: 0, ok: true },
});

/**
 * Observes every frame of an opened clip. The three workers run at once: while the points of one picture are found,
 * the ground of the one before is followed and the ones after are decoded. Rejects as soon as one of them fails.
 */
export async function observe(
  workers: Workers,
  clip: ClipInfo,
  onFrame: (pose: PoseFrame, step: MotionStep) => void,
): Promise<Observed> {
  const frames: PoseFrame[] = [];
  const motion: MotionStep[] = [];
  const add = (pose: PoseFrame, step: MotionStep): void => {
    frames.push(pose);
    motion.push(step);
    onFrame(pose, step);
  };
  let ground: Promise<void> = Promise.resolve();
  let before: { gray: GrayPicture; pose: PoseFrame } | null = null;
  for (let picture = await workers.frames.next(); picture;) {
    const { timeS, small } = picture;
    if (before && timeS - before.pose.timeS < REPEATED_FOR_S && isSamePicture(before.gray, small)) {
      const { pose, step } = again(before.pose, timeS);
      workers.frames.giveBack(picture);
      await ground;
      add(pose, step);
      picture = await workers.frames.next();
      continue;
    }
    const gray = kept(small);
    const [pose, next]: [PoseFrame, Picture | null] = await Promise.all([
      lookAt(workers.keypoints, picture),
      workers.frames.next(),
    ]);
    await ground;
    ground = groundOf(workers.motion, clip, gray, pose).then((step) => add(pose, step));
    // Its failure is told when it is awaited; meanwhile it is no unhandled one.
    ground.catch(() => undefined);
    before = { gray, pose };
    picture = next;
  }
  await ground;
  return { clip, frames, motion, ending: await workers.frames.ending() };
}

/**
 * Track (of the pictures that are not shown again) and measures of what was seen, with the corrections made by hand.
 * Pure and fast: it runs at every drag. `pointErrors`: for what is no picture of a real horse.
 */
export function measure(
  seen: Observed,
  corrections: readonly Correction[],
  withersM: number | null,
  pointErrors?: PointErrors,
): Gait {
  const points = corrections.filter((c) => c.kind === 'point');
  const eventCorrections = corrections.filter((c) => c.kind === 'event');
  const groundDistance = corrections.findLast((c) => c.kind === 'distance');
  const fresh = seen.frames.filter((frame) => !frame.repeated);
  const track = buildTrack(fresh, seen.motion, points, {
    widthPx: seen.clip.widthPx,
    heightPx: seen.clip.heightPx,
  });
  return {
    track,
    passes: analyseTrack(track, {
      withersM,
      eventCorrections,
      ...(groundDistance ? { groundDistance } : {}),
      ...(pointErrors ? { pointErrors } : {}),
    }),
    corrections,
  };
}
