/** Decodes a clip away from the page. One clip at a time; pictures are handed over, not copied. */
import { expose, transfer } from 'comlink';
import { transferables } from '../src/clip/planes.ts';
import { ClipReader } from '../src/clip/reader.ts';
import type { Picture } from '../src/clip/types.ts';

const handedOver = (picture: Picture | null): Picture | null =>
  picture && transfer(picture, transferables(picture));

export class FramesWorker extends ClipReader {
  override async next(): Promise<Picture | null> {
    return handedOver(await super.next());
  }

  override async frameAt(timeS: number): Promise<Picture | null> {
    return handedOver(await super.frameAt(timeS));
  }
}

expose(new FramesWorker());
