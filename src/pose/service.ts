/** What the keypoint worker offers; apart from the worker so that it can be run anywhere. */
import type { PoseDetector } from '@tensorflow-models/pose-detection';
import * as tf from '@tensorflow/tfjs-core';
import { transfer } from 'comlink';
import type { Box, Picture } from '../clip/types.ts';
import type { Rgba } from './crop.ts';
import { type Looked, type Spot, spotAhead } from './ahead.ts';
import {
  horsesIn,
  lookAhead,
  startOfClip,
  step,
  type ClipState,
  type Engine,
  type StepOptions,
} from './engine.ts';
import { pickHorse } from './follow.ts';
import { loadNetwork, runNetwork, type Network } from './network.ts';
import { loadPersonFinder } from './people.ts';
import {
  hasGraphicsCard,
  loadModel,
  millisecondsOf,
  useWasm,
  useWebgl,
  type BackendName,
} from './tensors.ts';
import type { HorsePose, PoseFrame } from './types.ts';

export interface StartOptions extends StepOptions {
  /** URL of the page, ending with a slash: networks and wasm files lie under it. */
  readonly baseUrl: string;
  /** Default: measured. */
  readonly backend?: 'wasm' | 'webgl';
}

export interface Started {
  readonly backend: BackendName;
  readonly version: string;
  /** Of one run of the keypoint network. */
  readonly msPerFrame: number;
}

const files = {
  wasm: 'vendor/tfjs/',
  network: 'models/horse-keypoints/model.json',
  detector: 'vendor/networks/centernet.json',
  person: 'vendor/networks/movenet-lightning.json',
};

async function measured(network: Network, nowMs: () => number): Promise<number> {
  const input = new Float32Array(network.inputPx ** 2 * 3);
  return millisecondsOf(() => runNetwork(network, input), 3, nowMs);
}

/** Starts the faster of wasm and, where there is a graphics card, WebGL; loads the keypoint network on it. */
async function fastest(
  options: StartOptions,
  nowMs: () => number,
): Promise<{ network: Network; backend: BackendName; msPerFrame: number }> {
  const url = (path: string): string => new URL(path, options.baseUrl).href;
  const onWasm = async (): Promise<{ network: Network; backend: BackendName; msPerFrame: number }> => {
    await useWasm(url(files.wasm));
    const network = await loadNetwork(url(files.network));
    return { network, backend: 'wasm', msPerFrame: await measured(network, nowMs) };
  };
  const onWebgl = async (): Promise<{ network: Network; backend: BackendName; msPerFrame: number }> => {
    await useWebgl();
    const network = await loadNetwork(url(files.network));
    return { network, backend: 'webgl', msPerFrame: await measured(network, nowMs) };
  };
  if (options.backend === 'webgl') return onWebgl();
  const wasm = await onWasm();
  if (options.backend === 'wasm' || !hasGraphicsCard()) return wasm;
  const webgl = await onWebgl().catch(() => null);
  if (webgl && webgl.msPerFrame < wasm.msPerFrame) {
    wasm.network.model.dispose();
    return webgl;
  }
  webgl?.network.model.dispose();
  await useWasm(url(files.wasm));
  return wasm;
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
  let engine: Engine | null = null;
  /** Of the engine, or alone where this worker only looks. */
  let network: Network | null = null;
  let person: Promise<PoseDetector> | null = null;
  let options: StepOptions = {};
  let state: ClipState = startOfClip;
  const running = (): Engine => {
    if (!engine) throw new Error('The keypoint worker has not been started');
    return engine;
  };

  return {
    /** Loads the networks and warms them up. Throws an Error naming the file that could not be loaded. */
    async start(given: StartOptions): Promise<Started> {
      options = given;
      state = startOfClip;
      const { network: fast, backend, msPerFrame } = await fastest(given, nowMs);
      network = fast;
      const url = (path: string): string => new URL(path, given.baseUrl).href;
      const detector = await loadModel(url(files.detector));
      const personFinder = (): Promise<PoseDetector> => (person ??= loadPersonFinder(url(files.person)));
      engine = { network, detector, personFinder };
      return { backend, version: network.version, msPerFrame };
    },

    /** Loads the keypoint network alone, on wasm: enough to `look` for another worker. */
    async startLooking(given: StartOptions): Promise<void> {
      options = given;
      ({ network } = await fastest({ ...given, backend: 'wasm' }, nowMs));
    },

    /** See spotAhead: of the next two frames, which come at these times. */
    ahead: (firstS: number, secondS: number): Spot | null => spotAhead(state.follow, firstS, secondS),

    /** See lookAhead. Needs and changes nothing of the clip; gives the picture back. */
    async look(picture: Picture, spot: Spot): Promise<{ picture: Picture; looked: Looked }> {
      if (!network) throw new Error('The keypoint worker has not been started');
      const looked = await lookAhead(network, picture, spot, options);
      return transfer({ picture, looked }, [picture.y.buffer]);
    },

    /** The next frame of the clip that this worker follows; `looked`: what `look` saw of it, here or elsewhere. */
    async frame(picture: Picture, looked: Looked | null = null): Promise<PoseFrame> {
      const next = await step(running(), picture, state, options, looked);
      state = next.state;
      return next.frame;
    },

    /** Every horse in a single picture, the largest first; picture px. */
    async photo(picture: ImageBitmap | Rgba): Promise<HorsePose[]> {
      return horsesIn(running(), await rgbaOf(picture));
    },

    /** From the next frame on, the horse in this box (picture px) is followed. */
    pick(box: Box): void {
      state = { ...state, follow: pickHorse(state.follow, box) };
    },

    /** Frees the networks. */
    stop(): void {
      network?.model.dispose();
      engine?.detector.dispose();
      void person?.then((finder) => finder.dispose());
      person = null;
      engine = null;
      network = null;
      state = startOfClip;
    },

    /** Tensors that tfjs holds: must not grow. */
    tensors: (): number => tf.memory().numTensors,
  };
}

export type KeypointService = ReturnType<typeof keypointService>;
