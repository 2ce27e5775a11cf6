/** Loaded by the test page: the keypoint worker as the app starts it, and pictures from raw files. */
import { wrap, transfer, type Remote } from 'comlink';
import type { Picture } from '../../src/clip/types.ts';
import type { KeypointsWorker } from '../../workers/keypoints.ts';

export function startWorker(): { worker: Worker; keypoints: Remote<KeypointsWorker> } {
  const worker = new Worker(new URL('../../workers/keypoints.ts', import.meta.url), { type: 'module' });
  return { worker, keypoints: wrap<KeypointsWorker>(worker) };
}

/** Picture `index` of a file of raw I420 pictures (BT.709, limited range, as ffmpeg writes yuv420p HD video). */
export async function rawPicture(
  file: Blob,
  size: { widthPx: number; heightPx: number },
  index: number,
  fps: number,
): Promise<Picture> {
  const luma = size.widthPx * size.heightPx;
  const chroma = ((size.widthPx + 1) >> 1) * ((size.heightPx + 1) >> 1);
  const bytes = luma + 2 * chroma;
  const data = new Uint8Array(await file.slice(index * bytes, (index + 1) * bytes).arrayBuffer());
  return {
    timeS: index / fps,
    ...size,
    y: data.slice(0, luma),
    u: data.slice(luma, luma + chroma),
    v: data.slice(luma + chroma),
    matrix: 'bt709',
    fullRange: false,
    small: { widthPx: 1, heightPx: 1, data: new Uint8Array(1) },
  };
}

/** Gives a picture away, without a copy. */
export const given = (picture: Picture): Picture =>
  transfer(picture, [picture.y.buffer, picture.u.buffer, picture.v.buffer] as ArrayBuffer[]);
