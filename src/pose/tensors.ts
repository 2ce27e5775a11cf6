/** Starts tfjs and loads graph models. One place knows of backends and paths. */
import { loadGraphModel, type GraphModel } from '@tensorflow/tfjs-converter';
import * as tf from '@tensorflow/tfjs-core';

export type BackendName = 'wasm' | 'webgl' | 'cpu';

/** wasm on one thread: a minified build breaks tfjs's threaded one, and two workers use two cores better. */
export async function useWasm(filesUrl: string): Promise<void> {
  const { setWasmPaths } = await import('@tensorflow/tfjs-backend-wasm');
  setWasmPaths(filesUrl);
  tf.env().set('WASM_HAS_MULTITHREAD_SUPPORT', false);
  await useBackend('wasm');
}

export async function useWebgl(): Promise<void> {
  await import('@tensorflow/tfjs-backend-webgl');
  await useBackend('webgl');
}

async function useBackend(name: BackendName): Promise<void> {
  if (!(await tf.setBackend(name))) throw new Error(`tfjs could not start its ${name} backend`);
  await tf.ready();
}

/** Renderers that draw without a graphics card: they would only take the time of a measurement. */
const software = /swiftshader|llvmpipe|softpipe|software|basic render|warp/i;

/** True where WebGL seems to run on a real graphics card. Measure before using it. */
export function hasGraphicsCard(): boolean {
  if (typeof OffscreenCanvas === 'undefined') return false;
  const gl = new OffscreenCanvas(1, 1).getContext('webgl2');
  if (!gl) return false;
  const info = gl.getExtension('WEBGL_debug_renderer_info');
  const renderer: unknown = gl.getParameter(info ? info.UNMASKED_RENDERER_WEBGL : gl.RENDERER);
  gl.getExtension('WEBGL_lose_context')?.loseContext();
  return typeof renderer === 'string' && !software.test(renderer);
}

/** Loads a graph model; throws an Error that names the file. */
export async function loadModel(url: string): Promise<GraphModel> {
  try {
    return await loadGraphModel(url);
  } catch (cause) {
    throw new Error(`The network ${url} could not be loaded`, { cause });
  }
}

/** Mean time of `rounds` calls after one that warms up, ms. */
export async function millisecondsOf(
  work: () => Promise<unknown>,
  rounds: number,
  nowMs: () => number,
): Promise<number> {
  await work();
  const from = nowMs();
  for (let i = 0; i < rounds; i++) await work();
  return (nowMs() - from) / rounds;
}
