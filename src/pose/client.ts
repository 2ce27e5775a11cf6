/** The page's end of the keypoint worker. */
import { releaseProxy, wrap } from 'comlink';
import type { KeypointsWorker } from '../../workers/keypoints.ts';
import { breakdownOf } from '../breakdown.ts';
import type { Box, Picture } from '../clip/types.ts';
import type { Rgba } from './crop.ts';
import type { Started, StartOptions } from './service.ts';
import type { HorsePose, PoseFrame } from './types.ts';

/** See keypointService for what each does. */
export interface Keypoints {
  start(options: StartOptions): Promise<Started>;
  frame(picture: Picture): Promise<PoseFrame>;
  photo(picture: ImageBitmap | Rgba): Promise<HorsePose[]>;
  pick(box: Box): Promise<void>;
  /** Rejects once the worker can't answer any more: see breakdownOf. */
  readonly broken: Promise<never>;
  /** Ends the worker at once, whatever it does; calls under way never come back. */
  end(): void;
}

export function startKeypoints(): Keypoints {
  const worker = new Worker(new URL('../../workers/keypoints.ts', import.meta.url), {
    type: 'module',
    name: 'keypoints',
  });
  const remote = wrap<KeypointsWorker>(worker);
  return {
    start: (options) => remote.start(options),
    frame: (picture) => remote.frame(picture),
    photo: (picture) => remote.photo(picture),
    pick: (box) => remote.pick(box),
    broken: breakdownOf(worker, 'finds the horse'),
    end() {
      remote[releaseProxy]();
      worker.terminate();
    },
  };
}
