/** Loaded by the test page: the keypoint service without its worker, so that the test can take its context away. */
import type { MathBackendWebGL } from '@tensorflow/tfjs-backend-webgl';
import { GraphModel } from '@tensorflow/tfjs-converter';
import * as tf from '@tensorflow/tfjs-core';
import type { Picture } from '../../src/clip/types.ts';
import { wholePicture } from '../../src/pose/crop.ts';
import type { Heatmaps } from '../../src/pose/decode.ts';
import { drawn } from '../../src/pose/drawn.ts';
import { loadNetwork, pointsOf, runNetwork } from '../../src/pose/network.ts';
import { keypointService, type StartOptions } from '../../src/pose/service.ts';
import { filesOf, useGraphics, useWasm, type BackendName } from '../../src/pose/tensors.ts';
import { rawPicture } from './page.ts';

/** Points, input px. */
function pointsIn(heatmaps: Heatmaps, inputPx: number) {
  const source = { data: new Uint8Array(), widthPx: inputPx, heightPx: inputPx };
  return pointsOf(heatmaps, wholePicture(source), source, inputPx);
}
export type Points = ReturnType<typeof pointsIn>;

/** What the network shows in drawn pictures; tensors before them, after each of them and in the end. */
export async function look(backend: BackendName, baseUrl: string, seeds: readonly number[]) {
  await (backend === 'wasm' ? useWasm(`${baseUrl}vendor/tfjs/`) : useGraphics(backend));
  const network = await loadNetwork(filesOf(`${baseUrl}models/horse-keypoints/model.json`));
  const points: Points[] = [];
  const tensors = [tf.memory().numTensors];
  for (const seed of seeds) {
    const { heatmaps } = await runNetwork(network, drawn(seed, network.inputPx));
    points.push(pointsIn(heatmaps, network.inputPx));
    tensors.push(tf.memory().numTensors);
  }
  network.model.dispose();
  return { points, tensors, left: tf.memory().numTensors };
}

/** Does some work; gives also what the keypoint network, the only one that may run in it, shows in each run. */
async function watched<T>(work: () => Promise<T>): Promise<[T, Points[]]> {
  const runs: Promise<Points>[] = [];
  const { execute } = GraphModel.prototype;
  const pointsOfRun = async (maps: tf.Tensor4D, inputPx: number): Promise<Points> => {
    const [, height, width, channels] = maps.shape;
    return pointsIn({ data: await maps.data<'float32'>(), height, width, channels }, inputPx);
  };
  GraphModel.prototype.execute = function (input, names) {
    const out = execute.call(this, input, names);
    const maps = [out].flat().find((t): t is tf.Tensor4D => t.rank === 4);
    if (maps) runs.push(pointsOfRun(maps, (input as tf.Tensor4D).shape[1]));
    return out;
  };
  try {
    const done = await work();
    return [done, await Promise.all(runs)];
  } finally {
    GraphModel.prototype.execute = execute;
  }
}

/** From now on, software that draws seems to be a graphics card. */
export function pretendGraphicsCard(): void {
  const card = { get: () => 'a card' };
  const WebgpuInfo = (globalThis as unknown as { GPUAdapterInfo?: { prototype: object } }).GPUAdapterInfo;
  if (WebgpuInfo) Object.defineProperties(WebgpuInfo.prototype, { vendor: card, architecture: card });
  const { getParameter } = WebGL2RenderingContext.prototype;
  const unmasked = 0x9246; // UNMASKED_RENDERER_WEBGL
  WebGL2RenderingContext.prototype.getParameter = function (name: number): unknown {
    return name === unmasked ? 'a card' : getParameter.call(this, name);
  };
}

/** From now on, WebGPU has an adapter but gives no device. */
export function breakWebgpu(): void {
  const Adapter = (globalThis as unknown as { GPUAdapter?: { prototype: object } }).GPUAdapter;
  const requestDevice = (): Promise<never> => Promise.reject(new Error('made to fail'));
  if (Adapter) Object.defineProperty(Adapter.prototype, 'requestDevice', { value: requestDevice });
}

/** Takes away the graphics context that tfjs computes in. */
function loseContext(): void {
  if (tf.getBackend() === 'webgpu') {
    (tf.backend() as unknown as { device: { destroy(): void } }).device.destroy();
  } else {
    (tf.backend() as MathBackendWebGL).gpgpu.gl.getExtension('WEBGL_lose_context')?.loseContext();
  }
}

export interface Clip {
  readonly file: Blob;
  readonly size: { readonly widthPx: number; readonly heightPx: number };
  readonly fps: number;
  readonly frames: number;
}

/** A clock by which every graphics card is ten times as fast as wasm. */
function kindClock(): () => number {
  let nowMs = 0;
  return () => (nowMs += tf.getBackend() === 'wasm' ? 100 : 10);
}

/** While this frame is looked at, so is the next one, ahead of its turn. */
const LOOK_AHEAD_AT = 2;

/**
 * Follows the horse of a clip; the context is lost while the frame `loseAt` is being looked at.
 * Gives the frames, what each run of the network in the start showed, and the tensors after each frame and in the end.
 */
export async function follow(options: StartOptions, clip: Clip, loseAt: number | null = null) {
  const service = keypointService(kindClock());
  const [started, startShowed] = await watched(() => service.start(options));
  const frames = [];
  const tensors = [];
  let ahead: Points | null = null;
  for (let i = 0; i < clip.frames; i++) {
    const [picture, next] = await Promise.all(
      [i, i + 1].map((k) => rawPicture(clip.file, clip.size, k, clip.fps)),
    );
    const frame = service.frame(picture as Picture);
    const spot = { square: wholePicture(next as Picture), mirrored: false };
    const looking = i === LOOK_AHEAD_AT ? service.look(next as Picture, spot) : null;
    if (i === loseAt) loseContext();
    frames.push(await frame);
    if (looking) ahead = (await looking).looked.pose.points;
    tensors.push(service.tensors());
  }
  const ranOn = service.ranOn();
  await service.stop();
  return { started, startShowed, frames, ahead, tensors, ranOn, left: service.tensors() };
}
