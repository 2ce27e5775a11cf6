/** Files that can't be read get an error that names the file and the cause. */
import { copyFileSync, unlinkSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CLIP_ERROR_CODES, ClipError, clipErrorCode } from '../../src/clip/errors.ts';
import { giveFiles, startApp, type App } from '../support/browser.ts';
import { clip, type ClipName } from '../support/clips.ts';
import { readClip } from './reading.ts';

let app: App;
/** One page for all files: opening a page takes longer than finding what is wrong. */
let page: Page;
beforeAll(async () => {
  app = await startApp();
  page = await app.blank();
});
afterAll(async () => {
  await app.close();
});

const CASES: readonly (readonly [ClipName, string, RegExp])[] = [
  ['empty.mp4', 'empty', /no bytes/],
  ['text.mp4', 'notAVideo', /text/],
  ['photo.mp4', 'notAVideo', /single picture/],
  ['noise.mp4', 'notAVideo', /not a video/],
  ['audio-only.mp4', 'noPicture', /sound but no picture/],
  ['audio-only.avi', 'noPicture', /sound but no picture/],
  ['no-index.mp4', 'damaged', /cut off/],
  ['no-header.avi', 'damaged', /damaged/],
];

describe('a file that is no clip', () => {
  it.each(CASES)('%s: %s', async (name, code, cause) => {
    const found = await readClip(page, clip(name));
    expect(found).toMatchObject({ code });
    expect('message' in found && found.message).toMatch(cause);
    expect('message' in found && found.message).toContain(name);
  });

  it('that was deleted since it was chosen: unreadable', async () => {
    const path = `${dirname(clip('empty.mp4'))}/deleted.mp4`;
    copyFileSync(clip('h264-bframes.mp4'), path);
    await giveFiles(page, [path]);
    await page.evaluate(() => fileNamed('deleted.mp4').size);
    unlinkSync(path);
    const code = await page.evaluate(async () => {
      const { startFrames } = (await load(
        '/src/clip/client.ts',
      )) as typeof import('../../src/clip/client.ts');
      const { clipErrorCode } = (await load(
        '/src/clip/errors.ts',
      )) as typeof import('../../src/clip/errors.ts');
      const frames = startFrames();
      return frames
        .open(fileNamed('deleted.mp4'))
        .then(
          () => 'opened',
          (error: unknown) => clipErrorCode(error),
        )
        .finally(() => frames.end());
    });
    expect(code).toBe('unreadable');
  });

  it('whose decoder can not be loaded', async () => {
    await giveFiles(page, [clip('hevc.mp4')]);
    const found = await page.evaluate(async () => {
      const { startFrames } = (await load(
        '/src/clip/client.ts',
      )) as typeof import('../../src/clip/client.ts');
      const { clipErrorCode } = (await load(
        '/src/clip/errors.ts',
      )) as typeof import('../../src/clip/errors.ts');
      const frames = startFrames(new URL('nowhere/', location.href).href);
      return frames
        .open(fileNamed('hevc.mp4'))
        .then(
          () => 'opened',
          (error: unknown) => clipErrorCode(error),
        )
        .finally(() => frames.end());
    });
    expect(found).toBe('decoderMissing');
  });
});

describe('error codes', () => {
  it('are told from an error by its name', () => {
    for (const code of CLIP_ERROR_CODES) {
      const error = new ClipError(code, 'mare.mp4');
      expect(clipErrorCode(error)).toBe(code);
      expect(error.message).toMatch(/^“mare\.mp4” .*\.$/);
    }
  });

  it('are not seen where there are none', () => {
    expect(clipErrorCode(new Error('other'))).toBeNull();
    expect(clipErrorCode('damaged')).toBeNull();
  });
});
