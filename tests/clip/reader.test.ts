/** One clip after another, closing, the playable copy, and frames in other layouts, in a real Chromium. */
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Page } from 'playwright-core';
import { giveFiles, startApp, type App } from '../support/browser.ts';
import { clip, probedTimesS, type ClipName } from '../support/clips.ts';

type Client = typeof import('../../src/clip/client.ts');

let app: App;
let page: Page;
beforeAll(async () => {
  app = await startApp();
  page = await app.blank();
});
afterAll(async () => {
  await app.close();
});
const CLIPS: readonly ClipName[] = [
  'h264-bframes.mp4',
  'variable-rate.mp4',
  'hevc-keys.mp4',
  'mpeg4-plain.avi',
  'starts-late-hevc.mp4',
  'hevc-720p.mp4',
  'rotated-hevc.mp4',
];
beforeEach(async () => {
  await giveFiles(
    page,
    CLIPS.map((name) => clip(name)),
  );
});

it('a second clip takes the place of the first', async () => {
  const times = await page.evaluate(async () => {
    const { startFrames } = (await load('/src/clip/client.ts')) as Client;
    const frames = startFrames();
    await frames.open(fileNamed('h264-bframes.mp4'));
    const times = [(await frames.next())?.timeS, (await frames.next())?.timeS];
    for (const name of ['hevc-keys.mp4', 'variable-rate.mp4']) {
      await frames.open(fileNamed(name));
      times.push((await frames.next())?.timeS, (await frames.next())?.timeS);
    }
    frames.end();
    return times;
  });
  expect(times.map((timeS) => Number(timeS?.toFixed(3)))).toEqual([0, 0.033, 0, 0.033, 0, 0.037]);
});

it('closing comes back although a decoder is at work', async () => {
  const closed = await page.evaluate(async () => {
    const { ClipReader } = (await load('/src/clip/reader.ts')) as typeof import('../../src/clip/reader.ts');
    const { clipErrorCode } = (await load(
      '/src/clip/errors.ts',
    )) as typeof import('../../src/clip/errors.ts');
    const vendorUrl = new URL('vendor/', document.baseURI).href;
    const reader = new ClipReader();
    const codes: unknown[] = [];
    for (const name of ['h264-bframes.mp4', 'hevc-720p.mp4']) {
      await reader.open(fileNamed(name), { vendorUrl });
      await reader.next();
      const pending = [reader.next(), reader.next(), reader.next(), reader.next()].map((next) =>
        next.then(
          () => 'given',
          (error: unknown) => clipErrorCode(error),
        ),
      );
      await reader.close();
      codes.push(...(await Promise.all(pending)));
    }
    return { codes, after: await reader.next().catch((error: unknown) => clipErrorCode(error)) };
  });
  expect(closed.after).toBe('notOpen');
  for (const code of closed.codes) expect(['given', 'notOpen']).toContain(code);
});

describe('the playable copy', () => {
  const make = (name: ClipName) =>
    page.evaluate(async (name) => {
      const { startFrames } = (await load('/src/clip/client.ts')) as Client;
      const frames = startFrames();
      await frames.open(fileNamed(name), { proxy: true });
      const early = await frames.proxy();
      const times: number[] = [];
      for (let picture = await frames.next(); picture; picture = await frames.next())
        times.push(picture.timeS);
      const blob = await frames.proxy();
      if (!blob) return { early, times, type: null };
      await frames.open(new File([blob], 'copy', { type: blob.type }));
      const copied: number[] = [];
      let size = '';
      for (let picture = await frames.next(); picture; picture = await frames.next()) {
        copied.push(picture.timeS);
        size = `${picture.widthPx}x${picture.heightPx}`;
      }
      frames.end();
      const video = document.createElement('video');
      video.muted = true;
      video.src = URL.createObjectURL(blob);
      await new Promise((resolve, reject) => {
        video.onloadeddata = resolve;
        video.onerror = () => reject(new Error(video.error?.message));
      });
      const { type, size: bytes } = blob;
      return { early, times, type, bytes, copied, size, played: video.videoWidth, durationS: video.duration };
    }, name);

  it.each([
    ['hevc-keys.mp4', '640x360'],
    ['mpeg4-plain.avi', '640x360'],
    ['rotated-hevc.mp4', '360x640'],
    ['starts-late-hevc.mp4', '640x360'],
    ['hevc-720p.mp4', '1280x720'],
  ] as const)('of %s has the same frame times and plays in a <video>', async (name, size) => {
    const made = await make(name);
    expect(made.early).toBeNull();
    expect(made.type).toMatch(/^video\/(mp4|webm)$/);
    expect(made.size).toBe(size);
    expect(made.played).toBe(Number(size.split('x')[0]));
    expect(made.copied?.length).toBe(made.times.length);
    made.times.forEach((timeS, i) => expect(made.copied?.[i]).toBeCloseTo(timeS, 3));
  });

  it('that fails does not end the reading, and says so afterwards', async () => {
    const found = await page.evaluate(async () => {
      const { ClipReader } = (await load('/src/clip/reader.ts')) as typeof import('../../src/clip/reader.ts');
      const { encode } = VideoEncoder.prototype;
      let encoded = 0;
      VideoEncoder.prototype.encode = function (...args) {
        if (++encoded > 20) throw new Error('no more memory');
        encode.apply(this, args);
      };
      try {
        const reader = new ClipReader();
        const vendorUrl = new URL('vendor/', document.baseURI).href;
        await reader.open(fileNamed('hevc-keys.mp4'), { vendorUrl, proxy: true });
        let count = 0;
        while (await reader.next()) count++;
        const copy = await reader.proxy().then(
          () => null,
          ({ name, message }: Error) => ({ name, message }),
        );
        const ending = reader.ending();
        await reader.close();
        return { encoded, count, copy, complete: ending?.complete };
      } finally {
        VideoEncoder.prototype.encode = encode;
      }
    });
    expect(found.encoded).toBe(21);
    expect(found.count).toBe(probedTimesS(clip('hevc-keys.mp4')).length);
    expect(found.complete).toBe(true);
    expect(found.copy?.name).toBe('noCopy');
    expect(found.copy?.message).toContain('hevc-keys.mp4');
  });

  it('is not made of what plays anyway', async () => {
    expect((await make('h264-bframes.mp4')).type).toBeNull();
  });
});

describe('frames in other layouts become I420', () => {
  it('NV12, 4:2:2, 4:4:4 and RGB', async () => {
    const found = await page.evaluate(async () => {
      const { toI420 } = (await load('/src/clip/toI420.ts')) as typeof import('../../src/clip/toI420.ts');
      const { i420Bytes } = (await load('/src/clip/planes.ts')) as typeof import('../../src/clip/planes.ts');
      const as = async (format: VideoPixelFormat, data: number[]) => {
        const frame = new VideoFrame(Uint8Array.from(data), {
          format,
          codedWidth: 4,
          codedHeight: 2,
          timestamp: 0,
        });
        const bytes = new Uint8Array(i420Bytes(4, 2));
        const converted = await toI420(frame, bytes);
        frame.close();
        return { converted, bytes: [...bytes] };
      };
      const luma = [16, 40, 80, 120, 160, 200, 220, 235];
      const grey = (level: number) => [level, level, level, 255];
      return {
        nv12: await as('NV12', [...luma, 90, 150, 100, 160]),
        i420: await as('I420', [...luma, 90, 100, 150, 160]),
        i422: await as('I422' as VideoPixelFormat, [...luma, 80, 90, 100, 110, 140, 150, 160, 170]),
        i444: await as('I444' as VideoPixelFormat, [
          ...luma,
          ...[80, 90, 100, 110, 90, 100, 110, 120],
          ...[140, 150, 160, 170, 150, 160, 170, 180],
        ]),
        rgbx: await as('RGBX', [0, 255, 128, 64, 0, 255, 128, 64].flatMap(grey)),
        red: await as('RGBX', Array.from({ length: 8 }, () => [255, 0, 0, 255]).flat()),
      };
    });
    const luma = [16, 40, 80, 120, 160, 200, 220, 235];
    expect(found.i420).toEqual({ converted: false, bytes: [...luma, 90, 100, 150, 160] });
    expect(found.nv12).toEqual(found.i420);
    expect(found.i422).toEqual({ converted: false, bytes: [...luma, 90, 100, 150, 160] });
    expect(found.i444).toEqual({ converted: false, bytes: [...luma, 90, 110, 150, 170] });
    // Grey levels by ITU-R BT.709-6, item 3.4: 16 + 219 E.
    const greys = [16, 235, 126, 71, 16, 235, 126, 71];
    expect(found.rgbx).toEqual({ converted: true, bytes: [...greys, 128, 128, 128, 128] });
    // BT.709 red: Y = 16 + 219 * 0.2126, Cb = 128 - 224 * 0.2126 / 1.8556, Cr = 128 + 224 * 0.7874 / 1.5748.
    expect(found.red).toEqual({ converted: true, bytes: [...Array<number>(8).fill(63), 102, 102, 240, 240] });
  });
});
