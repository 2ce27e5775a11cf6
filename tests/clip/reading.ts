/** Reads clips in the page of a test, with the real worker. */
import { basename } from 'node:path';
import type { Page } from 'playwright-core';
import type { Ending } from '../../src/clip/source.ts';
import type { ClipInfo } from '../../src/clip/types.ts';
import { giveFiles } from '../support/browser.ts';

type Client = typeof import('../../src/clip/client.ts');
type Errors = typeof import('../../src/clip/errors.ts');

export interface Reading {
  readonly info: ClipInfo;
  readonly timesS: readonly number[];
  readonly sizes: readonly string[];
  readonly matrix: string;
  readonly fullRange: boolean;
  /** Frames' luma, one after the other. */
  readonly luma: Uint8Array;
  readonly ending: Ending | null;
}
export interface Failure {
  readonly code: string | null;
  readonly message: string;
}

/** Opens the clip and reads it to the end; frames' luma comes back only if asked for. */
export async function readClip(page: Page, path: string, withLuma = true): Promise<Reading | Failure> {
  await giveFiles(page, [path]);
  const found = await page.evaluate(
    async ([name, withLuma]) => {
      const { startFrames } = (await load('/src/clip/client.ts')) as Client;
      const { clipErrorCode } = (await load('/src/clip/errors.ts')) as Errors;
      const frames = startFrames();
      try {
        const info = await frames.open(fileNamed(name));
        const timesS: number[] = [];
        const sizes = new Set<string>();
        const luma: Uint8Array[] = [];
        let matrix = '';
        let fullRange = false;
        for (let picture = await frames.next(); picture; picture = await frames.next()) {
          timesS.push(picture.timeS);
          sizes.add(
            [picture.widthPx, picture.heightPx, picture.y.length, picture.u.length, picture.v.length].join(
              ' ',
            ),
          );
          if (withLuma) luma.push(picture.y);
          ({ matrix, fullRange } = picture);
        }
        const ending = await frames.ending();
        const url = await new Promise<string>((resolve) => {
          const reader = new FileReader();
          reader.onload = () => resolve(reader.result as string);
          reader.readAsDataURL(new Blob(luma as Uint8Array<ArrayBuffer>[]));
        });
        return { info, timesS, sizes: [...sizes], matrix, fullRange, ending, url };
      } catch (error) {
        return { code: clipErrorCode(error), message: String((error as Error).message) };
      } finally {
        frames.end();
      }
    },
    [basename(path), withLuma] as const,
  );
  if (!('url' in found)) return found;
  const { url, ...rest } = found;
  return { ...rest, luma: new Uint8Array(Buffer.from(url.slice(url.indexOf(',') + 1), 'base64')) };
}
