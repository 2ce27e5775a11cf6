import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Page } from 'playwright-core';
import type { Box } from '../../src/clip/types.ts';
import { POINT_NAMES, type PointName } from '../../src/points.ts';
import { overlap } from '../../src/pose/boxes.ts';
import type { PoseFrame } from '../../src/pose/types.ts';
import { giveFiles, startApp, type App } from '../support/browser.ts';
import { ffmpegPath, root } from '../support/programs.ts';
import { sharedPath } from '../support/shared.ts';

const cache = `${root}/tests/.cache/pose`;
const size = { widthPx: 1104, heightPx: 621 };
const fps = 15;

/** Pictures of shared clips as raw I420, put together by an ffmpeg filter. */
function rawFrames(name: string, clips: readonly string[], filter: string): string {
  const to = `${cache}/${name}.yuv`;
  mkdirSync(cache, { recursive: true });
  if (!existsSync(to)) {
    const inputs = clips.flatMap((clip) => ['-i', sharedPath(`real-clips/${clip}.mp4`) ?? '']);
    const output = ['-pix_fmt', 'yuv420p', '-f', 'rawvideo', to];
    execFileSync(ffmpegPath(), ['-v', 'error', '-y', ...inputs, '-filter_complex', filter, ...output]);
  }
  return to;
}

const scaled = (widthPx: number, heightPx: number): string => `scale=${widthPx}:${heightPx}:flags=area`;

/** One clip at half size. */
const oneHorse = (clip: string): string => rawFrames(clip, [clip], scaled(size.widthPx, size.heightPx));

/** Two clips side by side at a quarter of their size, the larger horse at the left; one side is covered from a frame on. */
function twoHorses(covered: 'left' | 'right', fromFrame: number): string {
  const [widthPx, heightPx] = [size.widthPx / 2, 310];
  const cover = `drawbox=x=${covered === 'left' ? 0 : widthPx}:w=${widthPx}:y=0:h=${heightPx}:color=gray:t=fill`;
  const [left, right] = [`[0]${scaled(widthPx, heightPx)}[l]`, `[1]${scaled(widthPx, heightPx)}[r]`];
  const both = `[l][r]hstack,${cover}:enable='gte(n,${fromFrame})',pad=${size.widthPx}:${size.heightPx}:color=gray`;
  return rawFrames(`two-${covered}-${fromFrame}`, ['c063', 'c069'], `${left};${right};${both}`);
}

/** The data set's own points, at the size of our pictures: names in its order, [x, y, likelihood]. */
interface Points {
  readonly names: readonly string[];
  readonly frames: readonly (readonly (readonly [number, number, number])[])[];
}
function publishedPoints(clip: string): Points {
  const read = JSON.parse(
    readFileSync(`${sharedPath(`real-clips/${clip}.keypoints.json`)}`, 'utf8'),
  ) as Points;
  const half = ([x, y, p]: readonly [number, number, number]): [number, number, number] => [x / 2, y / 2, p];
  return { names: read.names, frames: read.frames.map((f) => f.map(half)) };
}

let app: App;
let page: Page;
beforeAll(async () => {
  app = await startApp();
  page = await app.blank();
});
afterAll(async () => app.close());

/** Runs the worker over the first pictures of a raw file. */
async function poses(
  file: string,
  count: number,
  pick?: Box,
): Promise<{ frames: PoseFrame[]; tensors: number[] }> {
  await giveFiles(page, [file]);
  return page.evaluate(
    async ({ name, count, size, fps, url, pick }) => {
      const helpers = (await load('/tests/pose/page.ts')) as typeof import('./page.ts');
      const { worker, keypoints } = helpers.startWorker();
      await keypoints.start({ baseUrl: url, backend: 'wasm' });
      if (pick) await keypoints.pick(pick);
      const frames = [];
      const tensors = [];
      for (let i = 0; i < count; i++) {
        const picture = await helpers.rawPicture(fileNamed(name), size, i, fps);
        frames.push(await keypoints.frame(helpers.given(picture)));
        tensors.push(await keypoints.tensors());
      }
      await keypoints.stop();
      worker.terminate();
      return { frames, tensors };
    },
    { name: file.split('/').pop() ?? '', count, size, fps, url: app.url, pick },
  );
}

describe('the keypoint worker', () => {
  it('names the file that it could not load', async () => {
    const other = await app.blank();
    await other.context().route('**/models/horse-keypoints/model.json', (route) => route.abort());
    const message = await other.evaluate(async (url) => {
      const helpers = (await load('/tests/pose/page.ts')) as typeof import('./page.ts');
      const { worker, keypoints } = helpers.startWorker();
      const failed = await keypoints.start({ baseUrl: url, backend: 'wasm' }).then(() => 'started', String);
      worker.terminate();
      return failed;
    }, app.url);
    await other.close();
    expect(message).toContain('models/horse-keypoints/model.json');
  });

  const clip = 'c069';
  it.skipIf(sharedPath(`real-clips/${clip}.mp4`) === null)('follows the horse of a real clip', async () => {
    const count = 50;
    const { frames, tensors } = await poses(oneHorse(clip), count);
    const published = publishedPoints(clip);
    expect(frames.every((f) => f.horse !== null)).toBe(true);
    expect(frames.map((f) => f.horse?.view).filter((v) => v === 'left').length).toBeGreaterThan(0.9 * count);
    expect(new Set(tensors.slice(5)).size).toBe(1);
    // The rider is seen, and is not taken for a handler.
    expect(frames[0]?.people.length).toBeGreaterThan(0);
    expect(frames.every((f) => f.handlerFeet.length === 0)).toBe(true);

    const same: [PointName, string][] = [
      ['left_fore_knee', 'LeftKnee'],
      ['left_fore_fetlock', 'LeftFrontFetlock'],
      ['left_hind_fetlock', 'LeftHindFetlock'],
    ];
    for (const [ours, theirs] of same) {
      const column = published.names.indexOf(theirs);
      const off = frames.flatMap((frame, i) => {
        const other = published.frames[i]?.[column];
        const point = frame.horse?.points[ours];
        return other && point && other[2] > 0.6 ? [Math.hypot(point.x - other[0], point.y - other[1])] : [];
      });
      off.sort((a, b) => a - b);
      expect(off.length).toBeGreaterThan(count / 2);
      // A second opinion, not truth: the withers of this horse are about 270 px up; 3 % of that.
      expect(off[off.length >> 1]).toBeLessThan(8);
    }
  });

  describe.skipIf(
    sharedPath('real-clips/c063.mp4') === null || sharedPath(`real-clips/${clip}.mp4`) === null,
  )('of two horses', () => {
    const HIDDEN = 15;
    /** By frame: the number of the horse and the half of the picture that it is in; null where none is seen. */
    const seenIn = (frames: readonly PoseFrame[]): (string | null)[] =>
      frames.map(({ horse, identity }) => {
        if (!horse) return null;
        return `${identity} ${horse.box[0] + horse.box[2] < size.widthPx ? 'left' : 'right'}`;
      });
    const times = (count: number, what: string | null): (string | null)[] =>
      new Array<string | null>(count).fill(what);

    it('follows the one that the user picks, and no other once it is gone', async () => {
      const alone = await poses(twoHorses('left', 0), 1);
      const box = alone.frames[0]?.horse?.box as Box;
      expect(seenIn(alone.frames)).toEqual(['1 right']);
      const { frames } = await poses(twoHorses('right', HIDDEN), 2 * HIDDEN, box);
      expect(overlap(frames[0]?.horse?.box as Box, box)).toBeGreaterThan(0.9);
      expect(seenIn(frames)).toEqual([...times(HIDDEN, '1 right'), ...times(HIDDEN, null)]);
    });

    it('follows the larger one by itself; the other one that takes over has another number', async () => {
      const { frames } = await poses(twoHorses('left', HIDDEN), 2 * HIDDEN);
      const seen = seenIn(frames);
      expect(seen.slice(0, HIDDEN)).toEqual(times(HIDDEN, '1 left'));
      const from = seen.indexOf('2 right');
      // Waited for half a second, then looked for five times a second.
      expect(from).toBeGreaterThan(HIDDEN + 0.5 * fps);
      expect(from).toBeLessThan(HIDDEN + 0.8 * fps);
      expect(seen.slice(HIDDEN, from)).toEqual(times(from - HIDDEN, null));
      expect(seen.slice(from)).toEqual(times(seen.length - from, '2 right'));
    });
  });

  it.skipIf(sharedPath(`horse-data/hand/labels.json`) === null)(
    'finds the horse of a single picture',
    async () => {
      const file = sharedPath('horse-data/silhouettes/rgb/horse010.jpg') ?? '';
      const labels = JSON.parse(readFileSync(sharedPath('horse-data/hand/labels.json') ?? '', 'utf8')) as {
        images: Record<string, { kp: Record<string, [number, number, number]> }>;
      };
      const truth = labels.images['silhouettes/rgb/horse010.jpg']?.kp ?? {};
      await giveFiles(page, [file]);
      const horses = await page.evaluate(async (url) => {
        const helpers = (await load('/tests/pose/page.ts')) as typeof import('./page.ts');
        const { worker, keypoints } = helpers.startWorker();
        await keypoints.start({ baseUrl: url, backend: 'wasm' });
        const found = await keypoints.photo(await createImageBitmap(fileNamed('horse010.jpg')));
        worker.terminate();
        return found;
      }, app.url);
      expect(horses).toHaveLength(1);
      const height = (truth['left_fore_hoof']?.[1] ?? 0) - (truth['withers']?.[1] ?? 0);
      const off = POINT_NAMES.flatMap((name) => {
        const t = truth[name];
        const p = horses[0]?.points[name];
        return t && p && t[2] === 2 ? [Math.hypot(p.x - t[0], p.y - t[1]) / height] : [];
      }).sort((a, b) => a - b);
      expect(off.length).toBeGreaterThan(8);
      // Share of the withers height.
      expect(off[off.length >> 1]).toBeLessThan(0.03);
    },
  );
});
