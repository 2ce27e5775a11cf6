import type { Box, GrayPicture } from '../clip/types.ts';
import type { MotionStep } from '../track/types.ts';

export interface MotionInput {
  readonly gray: GrayPicture;
  readonly timeS: number;
  /** Size of the full picture that `gray` is a shrunk copy of; masks and the result are in its px. */
  readonly pictureWidthPx: number;
  readonly pictureHeightPx: number;
  /** What moves by itself: the horse first, then people. */
  readonly masks: readonly Box[];
}

/** Follows the still surroundings through one clip. Frames come in order of time. */
export interface MotionWorker {
  /** Loads what is needed and forgets the last clip. */
  start(): Promise<void>;
  step(input: MotionInput): Promise<MotionStep>;
}
