/** The whole way from a clip to its measures: frames -> points -> ground -> track -> events, strides, measures. */
import type { Ending } from './clip/source.ts';
import type { Frames } from './clip/client.ts';
import { Prefetch } from './clip/prefetch.ts';
import { isSamePicture } from './clip/repeats.ts';
import type { ClipInfo, GrayPicture, Picture } from './clip/types.ts';
import { analyseCourse, type Course } from './gait/index.ts';
import type { PointErrors } from './gait/pointErrors.ts';
import type { Correction } from './horse/edits.ts';
import { gaitOptions } from './horse/gaitOptions.ts';
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

export interface Gait extends Course {
  readonly track: Track;
  /** Made by hand, and counted in the above. */
  readonly corrections: readonly Correction[];
}

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

/** A picture, or the time at which the one before is shown again. */
type Shown = { readonly picture: Picture; readonly gray: GrayPicture } | { readonly againS: number };

async function* shownBy(frames: Frames): AsyncGenerator<Shown, void> {
  let before: { gray: GrayPicture; timeS: number } | null = null;
  for (let picture = await frames.next(); picture; picture = await frames.next()) {
    const { timeS, small } = picture;
    if (before && timeS - before.timeS < REPEATED_FOR_S && isSamePicture(before.gray, small)) {
      frames.giveBack(picture);
      yield { againS: timeS };
    } else {
      before = { gray: kept(small), timeS };
      yield { picture, gray: before.gray };
    }
  }
}

/** Of a picture that is shown again. */
const standStill = (timeS: number): MotionStep => ({
  timeS,
  toPrevious: IDENTITY,
  inliers: 0,
  features: 0,
  ok: true,
});

/** Pictures that are decoded while others are looked at. */
const AHEAD = 2;

/**
 * Observes every frame of an opened clip. The workers run at once: while the points of two pictures are found, the
 * ground of the two before is followed and those after are decoded. Rejects as soon as one of them fails.
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
  const coming = new Prefetch(shownBy(workers.frames), AHEAD);
  let ground: Promise<void> = Promise.resolve();
  const follow = (gray: GrayPicture, pose: PoseFrame): void => {
    ground = ground.then(async () => add(pose, await groundOf(workers.motion, clip, gray, pose)));
    // Its failure is told when it is awaited; meanwhile it is no unhandled one.
    ground.catch(() => undefined);
  };
  const repeat = async (timeS: number): Promise<void> => {
    await ground;
    const last = frames.at(-1);
    if (last) add({ ...last, timeS, repeated: true }, standStill(timeS));
  };
  try {
    for (let shown = await coming.next(); shown;) {
      const partner = await coming.next();
      if ('againS' in shown) {
        await repeat(shown.againS);
        shown = partner;
        continue;
      }
      const pair = partner && 'picture' in partner ? [shown, partner] : [shown];
      const poses = await workers.keypoints.frames(pair.map(({ picture }) => picture));
      await ground;
      pair.forEach(({ gray }, i) => follow(gray, poses[i] as PoseFrame));
      shown = pair.length === 2 ? await coming.next() : partner;
    }
    await ground;
  } finally {
    await coming.stop();
  }
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
  const passesSet = corrections.findLast((c) => c.kind === 'passes');
  const fresh = seen.frames.filter((frame) => !frame.repeated);
  const track = buildTrack(fresh, seen.motion, points, {
    widthPx: seen.clip.widthPx,
    heightPx: seen.clip.heightPx,
  });
  const options = { ...gaitOptions(corrections, withersM), ...(pointErrors ? { pointErrors } : {}) };
  // Where the track is that of another horse, the view is too.
  const views = fresh.map(({ horse }, i) => (horse && track.points.withers[i] ? horse.view : 'none'));
  return { track, ...analyseCourse(track, views, options, passesSet), corrections };
}
