import type { Box } from '../clip/types.ts';
import type { PointName } from '../points.ts';

/** One point as the network sees it, in picture px (pixel centres at whole numbers), score 0..1. */
export interface Observation {
  readonly x: number;
  readonly y: number;
  readonly score: number;
}

export type View = 'left' | 'right' | 'away' | 'towards' | 'none';

export interface HorsePose {
  readonly box: Box;
  /** The side of the horse that is seen, or how it goes: `left` = its left side, it faces left in the picture. */
  readonly view: View;
  readonly points: Readonly<Partial<Record<PointName, Observation>>>;
}

/** What one frame of a clip yields. */
export interface PoseFrame {
  readonly timeS: number;
  readonly horse: HorsePose | null;
  /**
   * Number of the horse, absent where none is seen. Frames of one number show one horse, followed without a break or
   * known again by its place; another number may be another horse.
   */
  readonly identity?: number;
  /** Blur of the horse in the picture, px: see blurPxIn. Absent where no horse is seen, or it can't be told. */
  readonly blurPx?: number;
  readonly people: readonly Box[];
  /** Ankles of the handler, picture px, so that they never pass for hooves. */
  readonly handlerFeet: readonly Observation[];
  /** True where the picture is the one before, shown once more: all this was seen in that. */
  readonly repeated?: boolean;
}
