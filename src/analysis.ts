/** One clip through the workers: started when it begins, ended when it is done, has failed or is given up. */
import { startFrames } from './clip/client.ts';
import type { ClipInfo } from './clip/types.ts';
import { startMotion } from './motion/client.ts';
import { observe, type Observed, type Workers } from './pipeline.ts';
import { startKeypoints } from './pose/client.ts';
import type { Started } from './pose/service.ts';
import type { PoseFrame } from './pose/types.ts';
import type { MotionStep } from './track/types.ts';

export interface AnalysisListeners {
  readonly signal?: AbortSignal;
  /** Make a copy that a <video> element plays where it can't play the clip itself. */
  readonly proxy?: boolean;
  readonly onClip?: (clip: ClipInfo, network: Started) => void | Promise<void>;
  readonly onFrame?: (pose: PoseFrame, step: MotionStep) => void;
}

export interface Analysis {
  readonly seen: Observed;
  readonly network: Started;
  readonly proxy: Blob | null;
}

function startWorkers(): Workers {
  return { frames: startFrames(), keypoints: startKeypoints(), motion: startMotion() };
}

function endWorkers(workers: Workers): void {
  for (const worker of Object.values(workers) as { end(): void }[]) worker.end();
}

/** Runs work with workers of its own. They are freed at once on abort, whatever they do. Rejects with AbortError. */
export async function withWorkers<T>(
  signal: AbortSignal | undefined,
  work: (workers: Workers) => Promise<T>,
): Promise<T> {
  signal?.throwIfAborted();
  const workers = startWorkers();
  let giveUp: () => void = () => undefined;
  const aborted = new Promise<never>((_resolve, reject) => {
    giveUp = () => {
      endWorkers(workers);
      reject(signal?.reason ?? new DOMException('Given up', 'AbortError'));
    };
  });
  signal?.addEventListener('abort', giveUp);
  try {
    return await Promise.race([work(workers), aborted]);
  } finally {
    signal?.removeEventListener('abort', giveUp);
    endWorkers(workers);
  }
}

/** Where the networks and decoders lie: under the page. */
const baseUrl = (): string => new URL('.', document.baseURI).href;

/** Opens a file and observes every frame. Throws ClipError, an Error naming a missing network file, or AbortError. */
export function analyseFile(file: File, listeners: AnalysisListeners = {}): Promise<Analysis> {
  return withWorkers(listeners.signal, async (workers) => {
    // A file that is no video must say so at once, not after the networks are loaded.
    const clip = await workers.frames.open(file, { proxy: listeners.proxy ?? false });
    const [network] = await Promise.all([
      workers.keypoints.start({ baseUrl: baseUrl() }),
      workers.motion.start(),
    ]);
    await listeners.onClip?.(clip, network);
    const seen = await observe(workers, clip, (pose, step) => listeners.onFrame?.(pose, step));
    return { seen, network, proxy: listeners.proxy ? await workers.frames.proxy() : null };
  });
}

/** Decodes a clip once more, only to make a copy that a <video> element plays. */
export function playableCopy(file: File, signal: AbortSignal): Promise<Blob | null> {
  return withWorkers(signal, async ({ frames }) => {
    await frames.open(file, { proxy: true });
    for (let picture = await frames.next(); picture; picture = await frames.next()) frames.giveBack(picture);
    return frames.proxy();
  });
}
