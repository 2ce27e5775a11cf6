import type { PictureBuffers } from './buffers.ts';
import type { ClipInfo, Picture } from './types.ts';

/** How a reading of the frames came to its end. */
export interface Ending {
  /** False where the recording breaks off (every picture before the break has been given) or is damaged within. */
  readonly complete: boolean;
  /** Time of the last picture, null if there was none. */
  readonly lastS: number | null;
  /** For the user; null if all is well. */
  readonly message: string | null;
}

/** A clip behind one of the two decoders. */
export interface FrameSource {
  readonly info: ClipInfo;
  /** Pictures that may wait in memory, apart from those that the decoder itself holds back to put them in order. */
  readonly aheadFrames: number;
  /** Where the pictures' memory comes from, and should return to. */
  readonly buffers: PictureBuffers;
  /** The pictures in order of presentation. A reading of its own each time; `return()` frees what it holds. */
  frames(): AsyncGenerator<Picture, void>;
  /** True once data turned out to be missing or not to be decodable. */
  faulty: boolean;
  close(): void;
}

/** Times are compared with this slack: half the shortest time between two frames of a 1000 Hz clip. */
export const SAME_TIME_S = 0.0005;
