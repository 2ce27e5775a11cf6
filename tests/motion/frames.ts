import { createRequire } from 'node:module';
import { spawnSync } from 'node:child_process';
import type { GrayPicture } from '../../src/clip/types.ts';
import type { Cv } from '../../src/motion/opencv.ts';

/** Decodes a clip (or ffmpeg source with filters) to small gray frames. */
export function grayFrames(
  input: readonly string[],
  filter: string,
  widthPx: number,
  heightPx: number,
): GrayPicture[] {
  const ffmpeg = process.env['FFMPEG'] ?? 'ffmpeg';
  const done = spawnSync(
    ffmpeg,
    ['-v', 'error', ...input, '-vf', filter, '-pix_fmt', 'gray', '-f', 'rawvideo', '-'],
    { maxBuffer: 1 << 30 },
  );
  if (done.status !== 0) throw new Error(`ffmpeg: ${done.stderr.toString()}`);
  const size = widthPx * heightPx;
  return Array.from({ length: Math.floor(done.stdout.length / size) }, (_, i) => ({
    widthPx,
    heightPx,
    data: new Uint8Array(done.stdout.subarray(i * size, (i + 1) * size)),
  }));
}

/**
 * OpenCV as node gives it. The test runner's own import would ask the module's old `then` for ever
 * (see src/motion/opencv.ts).
 */
export async function nodeOpencv(): Promise<{ readonly cv: Cv }> {
  const cv = createRequire(import.meta.url)('@techstark/opencv-js') as Cv & {
    onRuntimeInitialized?: () => void;
  };
  if (typeof cv.Mat !== 'function') await new Promise<void>((resolve) => (cv.onRuntimeInitialized = resolve));
  return { cv };
}
