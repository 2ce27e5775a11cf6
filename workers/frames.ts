/** Decodes a clip away from the page. One clip at a time; pictures are handed over, not copied. */
import { expose, transfer } from 'comlink';
import { transferables } from '../src/clip/planes.ts';
import { ClipReader } from '../src/clip/reader.ts';
import type { Picture } from '../src/clip/types.ts';

export class FramesWorker extends ClipReader {
  override async next(): Promise<Picture | null> {
    const picture = await super.next();
    return picture && transfer(picture, transferables(picture));
  }
}

expose(new FramesWorker());
