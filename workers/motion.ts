import { expose } from 'comlink';
import type { GroundFollower } from '../src/motion/follower.ts';
import type { MotionInput, MotionWorker } from '../src/motion/types.ts';

let follower: GroundFollower | null = null;

const worker: MotionWorker = {
  async start() {
    const [{ GroundFollower }, { loadOpencv }] = await Promise.all([
      import('../src/motion/follower.ts'),
      import('../src/motion/opencv.ts'),
    ]);
    const { cv } = await loadOpencv();
    follower?.free();
    follower = new GroundFollower(cv);
  },
  async step(input: MotionInput) {
    if (!follower) throw new Error('The motion worker was given a frame before it was started.');
    return follower.step(input);
  },
};

expose(worker);
