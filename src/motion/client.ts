/** The page's end of the motion worker. */
import { releaseProxy, wrap } from 'comlink';
import type { MotionInput, MotionWorker } from './types.ts';
import type { MotionStep } from '../track/types.ts';

export interface Motion {
  /** Loads what is needed and forgets the last clip. */
  start(): Promise<void>;
  step(input: MotionInput): Promise<MotionStep>;
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
    end() {
      remote[releaseProxy]();
      worker.terminate();
    },
  };
}
