/** The page's end of the frames worker. */
import { releaseProxy, transfer, wrap } from 'comlink';
import type { FramesWorker } from '../../workers/frames.ts';
import { breakdownOf } from '../breakdown.ts';
import type { OpenOptions } from './reader.ts';
import type { Ending } from './source.ts';
import type { ClipInfo, Picture } from './types.ts';

/** See ClipReader for what each does. Errors are told apart with `clipErrorCode`. */
export interface Frames {
  open(file: File, options?: Omit<OpenOptions, 'vendorUrl'>): Promise<ClipInfo>;
  next(): Promise<Picture | null>;
  /** For a picture that is done with and whose planes are still here: its memory is used for the next ones. */
  giveBack(picture: Picture): void;
  ending(): Promise<Ending | null>;
  proxy(): Promise<Blob | null>;
  /** Rejects once the worker can't answer any more: see breakdownOf. */
  readonly broken: Promise<never>;
  /** Ends the worker at once, whatever it does; calls under way never come back. */
  end(): void;
}

/** @param vendorUrl Folder of the decoders, by default beside the page; ends with a slash. */
export function startFrames(vendorUrl = new URL('vendor/', document.baseURI).href): Frames {
  const worker = new Worker(new URL('../../workers/frames.ts', import.meta.url), {
    type: 'module',
    name: 'frames',
  });
  const remote = wrap<FramesWorker>(worker);
  return {
    open: (file, options = {}) => remote.open(file, { vendorUrl, ...options }),
    next: () => remote.next(),
    giveBack(picture) {
      const { buffer } = picture.y;
      if (buffer instanceof ArrayBuffer && buffer.byteLength > 0)
        void remote.giveBack(transfer(buffer, [buffer]));
    },
    ending: () => remote.ending(),
    proxy: () => remote.proxy(),
    broken: breakdownOf(worker, 'reads clips'),
    end() {
      remote[releaseProxy]();
      worker.terminate();
    },
  };
}
