/** Times each stage of the pipeline alone and all of them together, on one clip. */
import { analyseFile, withWorkers } from './analysis.ts';
import type { Box, Picture } from './clip/types.ts';
import { measure } from './pipeline.ts';

type Speeds = Readonly<Record<string, { readonly fps: number }>>;

export interface StagesResult {
  readonly clipS: number;
  readonly frames: number;
  /** Each stage by itself. */
  readonly stages: Speeds;
}

export interface ChainResult {
  readonly chainS: number;
  /** The last stage, which runs after the chain. */
  readonly measureFps: number;
}

const seconds = async (work: () => Promise<void>): Promise<number> => {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
};

/** Pictures that are looked at again and again, so that a stage is timed without the one before it. */
const KEPT = 24;

async function keptPictures(file: File): Promise<Picture[]> {
  return withWorkers(undefined, async ({ frames }) => {
    await frames.open(file);
    const kept: Picture[] = [];
    for (let p = await frames.next(); p && kept.length < KEPT; p = await frames.next()) kept.push(p);
    return kept;
  });
}

const copyOf = (picture: Picture): Picture => ({
  ...picture,
  y: picture.y.slice(),
  u: picture.u.slice(),
  v: picture.v.slice(),
});

/** Frames in the order 0 1 2 .. n-1 n-2 .. 0 1 ..: no jump that a real clip would not have. */
function backAndForth<T>(kept: readonly T[], count: number): T[] {
  const round = [...kept, ...kept.slice(1, -1).reverse()];
  return Array.from({ length: count }, (_, i) => round[i % round.length] as T);
}

const speeds = (fps: Readonly<Record<string, number>>): Speeds =>
  Object.fromEntries(Object.entries(fps).map(([name, value]) => [name, { fps: value }]));

/** Times decoding, keypoints and ground motion, one after the other. */
export async function timeStages(file: File): Promise<StagesResult> {
  let frames = 0;
  let clipS = 0;
  const decodeS = await withWorkers(undefined, async (workers) => {
    clipS = (await workers.frames.open(file)).durationS;
    return seconds(async () => {
      for (let p = await workers.frames.next(); p; p = await workers.frames.next()) {
        frames++;
        workers.frames.giveBack(p);
      }
    });
  });
  const kept = await keptPictures(file);
  const count = Math.min(frames, 200);
  const order = backAndForth(kept, count);
  const stepS = 1 / 60;
  const boxes: Box[] = [];
  const keypointsS = await withWorkers(undefined, async ({ keypoints }) => {
    await keypoints.start({ baseUrl: new URL('.', document.baseURI).href });
    return seconds(async () => {
      for (let i = 0; i < order.length; i += 2) {
        // The kept ones are shown again and again: copies are given away.
        const pair = order
          .slice(i, i + 2)
          .map((picture, k) => ({ ...copyOf(picture), timeS: (i + k) * stepS }));
        for (const pose of await keypoints.frames(pair)) boxes.push(pose.horse?.box ?? [0, 0, 1, 1]);
      }
    });
  });
  const motionS = await withWorkers(undefined, async ({ motion }) => {
    await motion.start();
    return seconds(async () => {
      for (const [i, { small, widthPx, heightPx }] of order.entries())
        await motion.step({
          gray: small,
          timeS: i * stepS,
          pictureWidthPx: widthPx,
          pictureHeightPx: heightPx,
          masks: [boxes[i] as Box],
        });
    });
  });
  const stages = speeds({
    decode: frames / decodeS,
    keypoints: count / keypointsS,
    motion: count / motionS,
  });
  return { clipS, frames, stages };
}

/** Times all of them together, as the page runs them, and the measures that come after. */
export async function timeChain(file: File): Promise<ChainResult> {
  let begunMs = 0;
  const { seen } = await analyseFile(file, { onClip: () => void (begunMs = performance.now()) });
  const chainS = (performance.now() - begunMs) / 1000;
  const measureS = await seconds(async () => void measure(seen, [], 1.6));
  return { chainS, measureFps: seen.frames.length / measureS };
}
