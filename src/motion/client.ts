/** The page's end of the motion worker. */
import { releaseProxy, wrap } from 'comlink';
import { breakdownOf } from '../breakdown.ts';
import type { MotionInput, MotionWorker } from './types.ts';
import type { MotionStep } from '../track/types.ts';

export interface Motion {
  /** Loads what is needed and forgets the last clip. */
  start(): Promise<void>;
  step(input: MotionInput): Promise<MotionStep>;
  /** Rejects once the worker can't answer any more: see breakdownOf. */
  readonly broken: Promise<never>;
  /** Ends the worker at once, whatever it does; calls under way never come back. */
  end(): void;
}

export function startMotion(): Motion {
  const worker = new Worker(new URL('../../workers/motion.ts', import.meta.url), {
    type: 'module',
    name: 'motion',
  });
  const remote = wrap<MotionWorker>(worker);
  return {
    start: () => remote.start(),
    step: (input) => remote.step(input),
    broken: breakdownOf(worker, 'follows the ground'),
    end() {
      remote[releaseProxy]();
      worker.terminate();
    },
  };
}
