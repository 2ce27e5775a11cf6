/** What the keypoint worker offers; apart from the worker so that it can be run anywhere. */
import * as tf from '@tensorflow/tfjs-core';
import { transfer } from 'comlink';
import type { Box, Picture } from '../clip/types.ts';
import type { Rgba } from './crop.ts';
import { type Looked, type Spot, spotAhead } from './ahead.ts';
import { horsesIn, lookAhead, startOfClip, step, type ClipState, type StepOptions } from './engine.ts';
import { pickHorse } from './follow.ts';
import type { Network } from './network.ts';
import { networkOnWasm, Running, type RanOn } from './running.ts';
import type { BackendName } from './tensors.ts';
import type { HorsePose, PoseFrame } from './types.ts';

export interface StartOptions extends StepOptions {
  /** URL of the page, ending with a slash: networks and wasm files lie under it. */
  readonly baseUrl: string;
  /** Taken as it is, not measured and not compared with wasm. Default: the first that is good, see firstGood. */
  readonly backend?: BackendName;
}

export interface Started extends RanOn {
  readonly version: string;
}

async function rgbaOf(picture: ImageBitmap | Rgba): Promise<Rgba> {
  if ('data' in picture) return picture;
  const { width, height } = picture;
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
  if (!context) throw new Error(`No canvas of ${width} x ${height} px could be made`);
  context.drawImage(picture, 0, 0);
  picture.close();
  return { widthPx: width, heightPx: height, data: context.getImageData(0, 0, width, height).data };
}

/** The service; `nowMs` is the clock by which backends are compared. */
export function keypointService(nowMs: () => number) {
  let networks: Running | null = null;
  /** Where this worker only looks. */
  let alone: Network | null = null;
  let options: StepOptions = {};
  let state: ClipState = startOfClip;
  const running = (): Running => {
    if (!networks) throw new Error('The keypoint worker has not been started');
    return networks;
  };

  return {
    /** Loads the networks and warms them up. Throws an Error naming the file that could not be loaded. */
    async start(given: StartOptions): Promise<Started> {
      options = given;
      state = startOfClip;
      networks = await Running.start(given.baseUrl, given.backend, nowMs);
      return { ...networks.ranOn(), version: networks.version };
    },

    ranOn: (): RanOn => running().ranOn(),

    /** Loads the keypoint network alone, on wasm: enough to `look` for another worker. */
    async startLooking(given: StartOptions): Promise<void> {
      options = given;
      alone = await networkOnWasm(given.baseUrl, nowMs);
    },

    /** See spotAhead: of the next two frames, which come at these times. */
    ahead: (firstS: number, secondS: number): Spot | null => spotAhead(state.follow, firstS, secondS),

    /** See lookAhead. Needs and changes nothing of the clip; gives the picture back. */
    async look(picture: Picture, spot: Spot): Promise<{ picture: Picture; looked: Looked }> {
      const look = (network: Network): Promise<Looked> => lookAhead(network, picture, spot, options);
      const looked = await (alone ? look(alone) : running().run(({ network }) => look(network)));
      return transfer({ picture, looked }, [picture.y.buffer]);
    },

    /** The next frame of the clip that this worker follows; `looked`: what `look` saw of it, here or elsewhere. */
    async frame(picture: Picture, looked: Looked | null = null): Promise<PoseFrame> {
      const next = await running().run((engine) => step(engine, picture, state, options, looked));
      state = next.state;
      return next.frame;
    },

    /** Every horse in a single picture, the largest first; picture px. */
    async photo(picture: ImageBitmap | Rgba): Promise<HorsePose[]> {
      const source = await rgbaOf(picture);
      return running().run((engine) => horsesIn(engine, source));
    },

    /** From the next frame on, the horse in this box (picture px) is followed. */
    pick(box: Box): void {
      state = { ...state, follow: pickHorse(state.follow, box) };
    },

    /** Frees the networks. */
    async stop(): Promise<void> {
      alone?.model.dispose();
      await networks?.stop();
      alone = null;
      networks = null;
      state = startOfClip;
    },

    /** Tensors that tfjs holds: must not grow. */
    tensors: (): number => tf.memory().numTensors,
  };
}

export type KeypointService = ReturnType<typeof keypointService>;
