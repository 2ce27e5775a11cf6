/** The page's end of the keypoint workers. */
import { type Remote, releaseProxy, transfer, wrap } from 'comlink';
import type { KeypointsWorker } from '../../workers/keypoints.ts';
import { breakdownOf } from '../breakdown.ts';
import type { Box, Picture } from '../clip/types.ts';
import type { Rgba } from './crop.ts';
import type { RanOn } from './running.ts';
import type { Started, StartOptions } from './service.ts';
import type { HorsePose, PoseFrame } from './types.ts';

/** See keypointService for what each does. */
export interface Keypoints {
  start(options: StartOptions): Promise<Started>;
  /** The next frames of the clip. Two at a time are the fastest. The pictures are given away, with their memory. */
  frames(pictures: readonly Picture[]): Promise<PoseFrame[]>;
  photo(picture: ImageBitmap | Rgba): Promise<HorsePose[]>;
  pick(box: Box): Promise<void>;
  ranOn(): Promise<RanOn>;
  /** Rejects once the workers can't answer any more: see breakdownOf. */
  readonly broken: Promise<never>;
  /** Ends the workers at once, whatever they do; calls under way never come back. */
  end(): void;
}

interface Running {
  readonly worker: Worker;
  readonly remote: Remote<KeypointsWorker>;
}

function run(name: string): Running {
  const worker = new Worker(new URL('../../workers/keypoints.ts', import.meta.url), { type: 'module', name });
  return { worker, remote: wrap<KeypointsWorker>(worker) };
}

/** With all the memory that it lies in, and no copy. */
const given = (picture: Picture): Picture => transfer(picture, [picture.y.buffer]);

/**
 * One worker follows the horse; a second one, on a machine of several processors that compute, looks at every other
 * picture for it. What is seen is the same with and without it.
 */
export function startKeypoints(): Keypoints {
  const first = run('keypoints');
  let second: Running | null = null;
  let secondReady = false;
  let secondBroke: (cause: unknown) => void;
  const broken = Promise.race([
    breakdownOf(first.worker, 'finds the horse'),
    new Promise<never>((_resolve, reject) => (secondBroke = reject)),
  ]);
  broken.catch(() => undefined);

  /** Until it is ready the first does both. */
  function startSecond(options: StartOptions): void {
    second = run('more keypoints');
    breakdownOf(second.worker, 'finds the horse').catch(secondBroke);
    void second.remote.startLooking(options).then(() => (secondReady = true), secondBroke);
  }

  let options: StartOptions | null = null;
  async function pair(one: Picture, other: Picture): Promise<PoseFrame[]> {
    const spot = await first.remote.ahead(one.timeS, other.timeS);
    if (!spot) return [await first.remote.frame(given(one)), await first.remote.frame(given(other))];
    if (options && !second) startSecond(options);
    const { remote } = second && secondReady ? second : first;
    const [pose, { picture, looked }] = await Promise.all([
      first.remote.frame(given(one)),
      remote.look(given(other), spot),
    ]);
    return [pose, await first.remote.frame(given(picture), looked)];
  }

  return {
    async start(asked) {
      const started = await first.remote.start(asked);
      const several = started.backend === 'wasm' && navigator.hardwareConcurrency > 1;
      options = several ? asked : null;
      return started;
    },
    async frames(pictures) {
      const seen: PoseFrame[] = [];
      for (let i = 0; i < pictures.length; i += 2) {
        const [one, other] = pictures.slice(i, i + 2);
        if (one && other) seen.push(...(await pair(one, other)));
        else if (one) seen.push(await first.remote.frame(given(one)));
      }
      return seen;
    },
    photo: (picture) => first.remote.photo(picture),
    pick: (box) => first.remote.pick(box),
    ranOn: () => first.remote.ranOn(),
    broken,
    end() {
      for (const { worker, remote } of second ? [first, second] : [first]) {
        remote[releaseProxy]();
        worker.terminate();
      }
    },
  };
}
