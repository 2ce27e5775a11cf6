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
  /** SHA-256 of every frame's planes. */
  readonly hashes: readonly string[];
  readonly firstLuma: Uint8Array;
  readonly ending: Ending | null;
}
export interface Failure {
  readonly code: string | null;
  readonly message: string;
}

declare global {
  /** On the blank page: the worker that has read the clips so far. */
  var readingFrames: import('../../src/clip/client.ts').Frames | undefined;
}

/**
 * Opens the clip and reads it to the end, in the same worker as the page's clips before: its modules are loaded once.
 * Where that fails in any way but with an error of the clip's own, the next clip gets a new one. The first frame's luma
 * comes only if asked for.
 */
export async function readClip(
  page: Page,
  path: string,
  { withLuma = false, threads = 0 } = {},
): Promise<Reading | Failure> {
  await giveFiles(page, [path]);
  const found = await page.evaluate(
    async ([name, withLuma, threads]) => {
      const { startFrames } = (await load('/src/clip/client.ts')) as Client;
      const { clipErrorCode } = (await load('/src/clip/errors.ts')) as Errors;
      const hex = (bytes: Uint8Array) =>
        Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
      const frames = (globalThis.readingFrames ??= startFrames());
      const read = async () => {
        const info = await frames.open(fileNamed(name), threads ? { threads } : {});
        const timesS: number[] = [];
        const hashes: string[] = [];
        const sizes = new Set<string>();
        let first = '';
        let matrix = '';
        let fullRange = false;
        for (let picture = await frames.next(); picture; picture = await frames.next()) {
          const { y, u, v, widthPx, heightPx } = picture;
          if (withLuma && first === '') for (const byte of y) first += String.fromCharCode(byte);
          timesS.push(picture.timeS);
          sizes.add([widthPx, heightPx, y.length, u.length, v.length].join(' '));
          const planes = await new Blob([y, u, v] as Uint8Array<ArrayBuffer>[]).arrayBuffer();
          hashes.push(hex(new Uint8Array(await crypto.subtle.digest('SHA-256', planes))));
          ({ matrix, fullRange } = picture);
          frames.giveBack(picture);
        }
        const ending = await frames.ending();
        return { info, timesS, hashes, sizes: [...sizes], matrix, fullRange, ending, luma: btoa(first) };
      };
      try {
        return await Promise.race([read(), frames.broken]);
      } catch (error) {
        const code = clipErrorCode(error);
        if (code === null) {
          frames.end();
          globalThis.readingFrames = undefined;
        }
        return { code, message: String((error as Error).message) };
      }
    },
    [basename(path), withLuma, threads] as const,
  );
  if (!('luma' in found)) return found;
  const { luma, ...rest } = found;
  return { ...rest, firstLuma: new Uint8Array(Buffer.from(luma, 'base64')) };
}
