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

/** The clip's pictures at half size, as raw I420. */
function rawFrames(clip: string): string {
  const to = `${cache}/${clip}.yuv`;
  mkdirSync(cache, { recursive: true });
  if (!existsSync(to)) {
    const scale = `scale=${size.widthPx}:${size.heightPx}:flags=area`;
    const video = ['-vf', scale, '-pix_fmt', 'yuv420p', '-f', 'rawvideo'];
    execFileSync(ffmpegPath(), [
      '-v',
      'error',
      '-y',
      '-i',
      `${sharedPath(`real-clips/${clip}.mp4`)}`,
      ...video,
      to,
    ]);
  }
  return to;
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
    const { frames, tensors } = await poses(rawFrames(clip), count);
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

  it.skipIf(sharedPath(`real-clips/${clip}.mp4`) === null)(
    'follows the box that the user picks',
    async () => {
      const whole = await poses(rawFrames(clip), 2);
      const box = whole.frames[1]?.horse?.box as Box;
      const picked = await poses(rawFrames(clip), 2, box);
      expect(overlap(picked.frames[1]?.horse?.box as Box, box)).toBeGreaterThan(0.9);
    },
  );

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
