/**
 * Every kind of file that phones and cameras give, decoded by the page and by Debian's ffmpeg, which is the outside
 * reference: count and times of the frames (ffprobe's best_effort_timestamp) and every sample of their planes (SHA-256
 * of ffmpeg's raw frames).
 */
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { ClipInfo } from '../../src/clip/types.ts';
import { startApp, type App } from '../support/browser.ts';
import { clip, firstLuma, frameHashes, probedTimesS, type ClipName } from '../support/clips.ts';
import { sharedPath } from '../support/shared.ts';
import { readClip, type Reading } from './reading.ts';

let app: App;
beforeAll(async () => {
  app = await startApp();
});
afterAll(async () => {
  await app.close();
});

/** A frame is 1 / 240 s or longer. */
const TIME_TOLERANCE_S = 0.001;
/** Mean difference of luma where ffmpeg on its own narrows ten bits to eight, or scales, with other rounding. */
const ROUNDING = 0.5;

interface Case {
  readonly name: ClipName;
  readonly decoder: ClipInfo['decoder'];
  readonly size: string;
  readonly matrix: 'bt601' | 'bt709';
  /** Not bit for bit. */
  readonly rounded?: boolean;
  readonly filter?: string;
}
const CASES: readonly Case[] = [
  { name: 'h264-bframes.mp4', decoder: 'webcodecs', size: '640x360', matrix: 'bt601' },
  { name: 'h264-60fps.mp4', decoder: 'webcodecs', size: '1280x720', matrix: 'bt709' },
  { name: 'hevc.mp4', decoder: 'ffmpeg', size: '640x360', matrix: 'bt601' },
  { name: 'mpeg4.avi', decoder: 'ffmpeg', size: '640x360', matrix: 'bt601' },
  { name: 'vp9.webm', decoder: 'webcodecs', size: '321x181', matrix: 'bt601' },
  { name: 'rotated-90.mp4', decoder: 'webcodecs', size: '360x640', matrix: 'bt601' },
  { name: 'rotated-180.mp4', decoder: 'webcodecs', size: '640x360', matrix: 'bt601' },
  { name: 'rotated-270.mp4', decoder: 'webcodecs', size: '360x640', matrix: 'bt601' },
  { name: 'rotated-hevc.mp4', decoder: 'ffmpeg', size: '360x640', matrix: 'bt601' },
  { name: 'variable-rate.mp4', decoder: 'webcodecs', size: '640x360', matrix: 'bt601' },
  { name: 'variable-rate-hevc.mp4', decoder: 'ffmpeg', size: '640x360', matrix: 'bt601' },
  { name: 'edit-list.mp4', decoder: 'webcodecs', size: '640x360', matrix: 'bt601' },
  { name: 'edit-list-end.mp4', decoder: 'webcodecs', size: '640x360', matrix: 'bt601' },
  { name: 'two-edits.mp4', decoder: 'ffmpeg', size: '640x360', matrix: 'bt601' },
  { name: 'starts-late.mp4', decoder: 'webcodecs', size: '640x360', matrix: 'bt601' },
  { name: 'starts-late-hevc.mp4', decoder: 'ffmpeg', size: '640x360', matrix: 'bt601' },
  { name: 'full-range.mp4', decoder: 'webcodecs', size: '1280x720', matrix: 'bt709' },
  { name: 'tagged-709.mp4', decoder: 'webcodecs', size: '640x360', matrix: 'bt709' },
  { name: 'tagged-709-hevc.mp4', decoder: 'ffmpeg', size: '640x360', matrix: 'bt709' },
  { name: 'mpeg-ts.ts', decoder: 'webcodecs', size: '640x360', matrix: 'bt601' },
  {
    name: 'wide-pixels.mp4',
    decoder: 'ffmpeg',
    size: '640x360',
    matrix: 'bt601',
    rounded: true,
    filter: 'scale=640:360:flags=bicubic',
  },
  { name: 'ten-bit-422.mp4', decoder: 'webcodecs', size: '640x360', matrix: 'bt601', rounded: true },
];

/** One page reads all clips: opening pages takes longer than reading. */
const pages = new Map<boolean, Promise<Page>>();
function pageThat(isolated: boolean): Promise<Page> {
  const page = pages.get(isolated) ?? app.blank({ isolated });
  pages.set(isolated, page);
  return page;
}

async function read(path: string, { isolated = true, withLuma = false, threads = 0 } = {}): Promise<Reading> {
  const found = await readClip(await pageThat(isolated), path, { withLuma, threads });
  if ('code' in found) throw new Error(`${found.code}: ${found.message}`);
  return found;
}

function expectSameTimes(reading: Reading, path: string): void {
  const expected = probedTimesS(path);
  expect(reading.timesS.length).toBe(expected.length);
  const worst = expected.map((timeS, i) =>
    timeS === null ? 0 : Math.abs(timeS - (reading.timesS[i] ?? NaN)),
  );
  expect(Math.max(...worst)).toBeLessThan(TIME_TOLERANCE_S);
  for (let i = 1; i < reading.timesS.length; i++) {
    expect(reading.timesS[i]).toBeGreaterThan(reading.timesS[i - 1] ?? NaN);
  }
}

function meanDifference(found: Uint8Array, expected: Uint8Array): number {
  expect(found.length).toBe(expected.length);
  let sum = 0;
  for (let i = 0; i < found.length; i++) sum += Math.abs((found[i] ?? 0) - (expected[i] ?? 0));
  return sum / found.length;
}

describe('decoded like ffmpeg does', () => {
  it.each(CASES)('$name', async ({ name, decoder, size, matrix, rounded, filter }) => {
    const reading = await read(clip(name), { withLuma: rounded ?? false });
    const [widthPx = 0, heightPx = 0] = size.split('x').map(Number);
    expect(reading.info).toMatchObject({ name, decoder, widthPx, heightPx });
    const chroma = Math.ceil(widthPx / 2) * Math.ceil(heightPx / 2);
    expect(reading.sizes).toEqual([[widthPx, heightPx, widthPx * heightPx, chroma, chroma].join(' ')]);
    expect(reading.matrix).toBe(matrix);
    expect(reading.fullRange).toBe(name === 'full-range.mp4');
    expectSameTimes(reading, clip(name));
    if (rounded) {
      const expected = firstLuma(clip(name), 'yuv420p', filter);
      expect(meanDifference(reading.firstLuma, expected)).toBeLessThan(ROUNDING);
    } else {
      expect(reading.hashes).toEqual(frameHashes(clip(name), reading.fullRange ? 'yuvj420p' : 'yuv420p'));
    }
    expect(reading.ending).toMatchObject({ complete: true, message: null });
  });

  it('hevc.mp4 and a longer one in stretches, where memory can not be shared', async () => {
    for (const name of ['hevc.mp4', 'hevc-720p.mp4'] as const) {
      const reading = await read(clip(name), { isolated: false });
      expect(reading.info.decoder).toBe('ffmpeg');
      expectSameTimes(reading, clip(name));
      expect(reading.hashes).toEqual(frameHashes(clip(name)));
    }
  });

  it('a long clip on several threads', async () => {
    const reading = await read(clip('hevc-long.mp4'), { threads: 3 });
    expect(reading.info.decoder).toBe('ffmpeg');
    expectSameTimes(reading, clip('hevc-long.mp4'));
    expect(reading.hashes).toEqual(frameHashes(clip('hevc-long.mp4')));
  });
});

describe('cut short: what comes before the break is given, and the break is told', () => {
  it.each(['cut-short.mp4', 'cut-short-hevc.mp4', 'cut-short.avi', 'cut-short.webm'] as const)(
    '%s',
    async (name) => {
      const reading = await read(clip(name));
      expectSameTimes(reading, clip(name));
      expect(reading.timesS.length).toBeGreaterThan(10);
      expect(reading.ending?.complete).toBe(false);
      expect(reading.ending?.message).toContain(name);
      expect(reading.ending?.message).toContain(`${reading.timesS.at(-1)?.toFixed(1)} s`);
    },
  );
});

it('damaged within: the pictures before and after are right, and it is told', async () => {
  const reading = await read(clip('scratched.mp4'));
  const whole = probedTimesS(clip('h264-bframes.mp4'));
  const hashes = frameHashes(clip('h264-bframes.mp4'));
  const at = reading.timesS.map((timeS) =>
    whole.findIndex((time) => Math.abs((time ?? NaN) - timeS) < 0.001),
  );
  expect(at).not.toContain(-1);
  const same = at.filter((frame, i) => hashes[frame] === reading.hashes[i]);
  // Groups of 24: the first and the last are untouched, but a decoder that fails takes with it what it had held back to
  // put it in order, three B frames and the one after them at most.
  for (let frame = 0; frame < 20; frame++) expect(same).toContain(frame);
  for (let frame = 48; frame < 60; frame++) expect(same).toContain(frame);
  expect(reading.ending).toMatchObject({ complete: false });
  expect(reading.ending?.message).toMatch(/“scratched\.mp4” is damaged/);
});

const REAL = ['c064.avi', 'c067.avi', 'c064.mp4'].map((name) => sharedPath(`real-clips/${name}`));

describe.skipIf(REAL.includes(null))('filmed clips', () => {
  it.each(REAL.flatMap((path) => path ?? []))('%s', async (path) => {
    const reading = await read(path);
    expect(reading.info.decoder).toBe(path.endsWith('avi') ? 'ffmpeg' : 'webcodecs');
    expectSameTimes(reading, path);
    expect(reading.hashes).toEqual(frameHashes(path));
    expect(reading.ending?.complete).toBe(true);
  });
});
