/** A decoded picture as displayed: the container's rotation has been applied. Planes are I420 without padding. */
export interface Picture {
  readonly timeS: number;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly y: Uint8Array;
  /** Chroma planes of ceil(width / 2) x ceil(height / 2). */
  readonly u: Uint8Array;
  readonly v: Uint8Array;
  readonly matrix: 'bt601' | 'bt709';
  readonly fullRange: boolean;
  /** Luma shrunk by averaging squares of `shrinkFactor(widthPx, 640)` px (shrink.ts), for the ground's motion. */
  readonly small: GrayPicture;
}

export interface GrayPicture {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly data: Uint8Array;
}

export interface ClipInfo {
  readonly name: string;
  readonly sizeBytes: number;
  readonly container: string;
  readonly codec: string;
  /** As displayed, after rotation. */
  readonly widthPx: number;
  readonly heightPx: number;
  readonly rotationDeg: 0 | 90 | 180 | 270;
  readonly startS: number;
  readonly durationS: number;
  readonly meanFps: number;
  readonly decoder: 'webcodecs' | 'ffmpeg';
}

/** Upright box in picture px: left, top, right, bottom. */
export type Box = readonly [x0: number, y0: number, x1: number, y1: number];
