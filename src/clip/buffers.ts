/**
 * Memory of pictures, used again once a picture is done with: the first touch of three fresh megabytes costs more
 * than decoding into them (2.9 against 0.3 ms a frame of 1080p).
 */
import { i420Bytes, i420Of, type I420 } from './planes.ts';
import { shrinkFactor, shrunk, shrunkBytes, SMALL_WIDTH_PX } from './shrink.ts';
import type { Picture } from './types.ts';

/** More than that are not in use at a time: those ahead, and one or two with the reader. */
const MOST_KEPT = 8;

/** Planes to fill, and `small` behind them, in one buffer. */
export interface PictureBuffer {
  readonly planes: I420;
  /** The three planes' bytes together. */
  readonly bytes: Uint8Array;
  readonly small: Uint8Array;
}

export class PictureBuffers {
  private readonly free: ArrayBufferLike[] = [];

  take(widthPx: number, heightPx: number): PictureBuffer {
    const planeBytes = i420Bytes(widthPx, heightPx);
    const smallBytes = shrunkBytes(widthPx, heightPx, shrinkFactor(widthPx, SMALL_WIDTH_PX));
    const buffer = this.reused(planeBytes + smallBytes) ?? new ArrayBuffer(planeBytes + smallBytes);
    const bytes = new Uint8Array(buffer, 0, planeBytes);
    return {
      planes: i420Of(bytes, widthPx, heightPx),
      bytes,
      small: new Uint8Array(buffer, planeBytes, smallBytes),
    };
  }

  giveBack(buffer: ArrayBufferLike): void {
    if (this.free.length < MOST_KEPT && buffer.byteLength > 0) this.free.push(buffer);
  }

  /** Of another size: from another clip, to be dropped. */
  private reused(byteLength: number): ArrayBufferLike | null {
    for (let buffer = this.free.pop(); buffer; buffer = this.free.pop()) {
      if (buffer.byteLength === byteLength) return buffer;
    }
    return null;
  }
}

/** A picture of planes that were filled; `small` is made here. */
export function pictureIn(
  { planes, small }: PictureBuffer,
  about: Pick<Picture, 'timeS' | 'matrix' | 'fullRange'>,
): Picture {
  const { y, u, v, widthPx, heightPx } = planes;
  const factor = shrinkFactor(widthPx, SMALL_WIDTH_PX);
  return { ...about, widthPx, heightPx, y, u, v, small: shrunk(y, widthPx, heightPx, factor, small) };
}
