/** One clip through the workers: started when it begins, ended when it is done, has failed or is given up. */
import { type Frames, startFrames } from './clip/client.ts';
import { clipErrorCode } from './clip/errors.ts';
import { SAME_TIME_S } from './clip/source.ts';
import type { Box, ClipInfo, Picture } from './clip/types.ts';
import type { HorsePick } from './horse/schema.ts';
import { startMotion } from './motion/client.ts';
import { observe, type Observed, type Workers } from './pipeline.ts';
import { startKeypoints, type Keypoints } from './pose/client.ts';
import type { Started } from './pose/service.ts';
import type { PoseFrame } from './pose/types.ts';
import type { MotionStep } from './track/types.ts';

export interface AnalysisListeners {
  readonly signal?: AbortSignal;
  /** Make a copy that a <video> element plays where it can't play the clip itself. */
  readonly proxy?: boolean;
  /** The horse meant by the user; by default the largest one that walks. */
  readonly pick?: HorsePick | null;
  /** The file is a video; the networks are still being loaded. */
  readonly onOpened?: (clip: ClipInfo) => void;
  readonly onClip?: (clip: ClipInfo, network: Started) => void | Promise<void>;
  readonly onFrame?: (pose: PoseFrame, step: MotionStep) => void;
  /** Something went wrong that the measures don't need; a sentence for the user. */
  readonly onTrouble?: (message: string) => void;
}

export interface Analysis {
  readonly seen: Observed;
  /** As it was in the end. */
  readonly network: Started;
  readonly proxy: Blob | null;
}

/** The page's end of a worker. */
interface Client {
  readonly broken: Promise<never>;
  end(): void;
}

/**
 * Runs work with workers of its own. They are freed at once on abort, whatever they do. Rejects with AbortError, or
 * with an Error that says what a worker does that broke down.
 */
export const withWorkers = <T>(
  signal: AbortSignal | undefined,
  work: (workers: Workers) => Promise<T>,
): Promise<T> =>
  held(signal, () => ({ frames: startFrames(), keypoints: startKeypoints(), motion: startMotion() }), work);

/** The same with the keypoint worker only. */
export const withKeypoints = <T>(
  signal: AbortSignal | undefined,
  work: (keypoints: Keypoints) => Promise<T>,
): Promise<T> =>
  held(
    signal,
    () => ({ keypoints: startKeypoints() }),
    ({ keypoints }) => work(keypoints),
  );

async function held<W extends object, T>(
  signal: AbortSignal | undefined,
  start: () => W & Record<keyof W, Client>,
  work: (workers: W) => Promise<T>,
): Promise<T> {
  signal?.throwIfAborted();
  const workers = start();
  const clients: Client[] = Object.values<Client>(workers);
  let giveUp: () => void = () => undefined;
  const aborted = new Promise<never>((_resolve, reject) => {
    giveUp = () => reject(signal?.reason ?? new DOMException('Given up', 'AbortError'));
  });
  signal?.addEventListener('abort', giveUp);
  try {
    return await Promise.race([work(workers), aborted, ...clients.map(({ broken }) => broken)]);
  } finally {
    signal?.removeEventListener('abort', giveUp);
    for (const client of clients) client.end();
  }
}

/** Where the networks and decoders lie: under the page. */
const baseUrl = (): string => new URL('.', document.baseURI).href;

/** The horse that was picked, from the frame of the pick on; before it no horse counts, lest two be taken for one. */
function followingOnly({ frames, keypoints }: Workers, { box, timeS }: HorsePick): Keypoints {
  let picked: Promise<void> | null = null;
  const before = (picture: Picture): boolean => picture.timeS < timeS - SAME_TIME_S;
  return {
    ...keypoints,
    async frames(pictures) {
      const unseen = pictures.filter(before).map((picture): PoseFrame => {
        frames.giveBack(picture);
        return { timeS: picture.timeS, horse: null, people: [], handlerFeet: [] };
      });
      const later = pictures.filter((picture) => !before(picture));
      if (later.length > 0) await (picked ??= keypoints.pick(box));
      return [...unseen, ...(await keypoints.frames(later))];
    },
  };
}

/** Opens a file and observes every frame. Throws ClipError, an Error naming a missing network file, or AbortError. */
export function analyseFile(file: File, listeners: AnalysisListeners = {}): Promise<Analysis> {
  return withWorkers(listeners.signal, async (workers) => {
    // A file that is no video must say so at once, not after the networks are loaded.
    const clip = await workers.frames.open(file, { proxy: listeners.proxy ?? false });
    listeners.onOpened?.(clip);
    const [started] = await Promise.all([
      workers.keypoints.start({ baseUrl: baseUrl() }),
      workers.motion.start(),
    ]);
    await listeners.onClip?.(clip, started);
    const keypoints = listeners.pick ? followingOnly(workers, listeners.pick) : workers.keypoints;
    const seen = await observe({ ...workers, keypoints }, clip, (pose, step) =>
      listeners.onFrame?.(pose, step),
    );
    const network = { ...started, ...(await workers.keypoints.ranOn()) };
    const proxy = listeners.proxy ? await copyMade(workers.frames, listeners.onTrouble) : null;
    return { seen, network, proxy };
  });
}

/** The playable copy; where making it has failed, that is told and the clip does without. */
async function copyMade(frames: Frames, onTrouble?: (message: string) => void): Promise<Blob | null> {
  try {
    return await frames.proxy();
  } catch (error) {
    if (clipErrorCode(error) !== 'noCopy') throw error;
    onTrouble?.((error as Error).message);
    return null;
  }
}

/** Decodes a clip once more, only to make a copy that a <video> element plays. */
export function playableCopy(
  file: File,
  signal: AbortSignal,
  onTime: (timeS: number) => void,
  onTrouble: (message: string) => void,
): Promise<Blob | null> {
  return held(
    signal,
    () => ({ frames: startFrames() }),
    async ({ frames }) => {
      await frames.open(file, { proxy: true });
      for (let picture = await frames.next(); picture; picture = await frames.next()) {
        onTime(picture.timeS);
        frames.giveBack(picture);
      }
      return copyMade(frames, onTrouble);
    },
  );
}

/** Boxes of all horses in one picture, its px, the largest first. */
export function horsesIn(picture: ImageBitmap, signal: AbortSignal): Promise<Box[]> {
  return withKeypoints(signal, async (keypoints) => {
    await keypoints.start({ baseUrl: baseUrl() });
    return (await keypoints.photo(picture)).map(({ box }) => box);
  });
}
