/** Starts tfjs and loads graph models. One place knows of backends and paths. */
import type { MathBackendWebGL } from '@tensorflow/tfjs-backend-webgl';
import { loadGraphModel, type GraphModel } from '@tensorflow/tfjs-converter';
import * as tf from '@tensorflow/tfjs-core';

/** The two ways to the graphics card. */
export type GraphicsName = 'webgpu' | 'webgl';
export type BackendName = 'wasm' | GraphicsName;

/** A backend of tfjs that was started. */
export interface Backend {
  readonly name: BackendName;
  /** Makes it the one in use, as it is once started. */
  use(): Promise<void>;
  /** True once its context was lost or has failed: what was computed last may be zeros, and nothing is right any more. */
  isLost(): boolean;
  /** Frees it, with its context. Networks on it must be disposed before. */
  end(): void;
}

/** wasm on one thread: a minified build breaks tfjs's threaded one, and two workers use two cores better. */
export async function useWasm(filesUrl: string): Promise<Backend> {
  const { setWasmPaths } = await import('@tensorflow/tfjs-backend-wasm');
  setWasmPaths(filesUrl);
  tf.env().set('WASM_HAS_MULTITHREAD_SUPPORT', false);
  await use('wasm');
  return { name: 'wasm', use: () => use('wasm'), isLost: () => false, end: () => undefined };
}

/** Rejects where it can't be started, or `signal` has told that it is not wanted any more. */
export async function useGraphics(name: GraphicsName, signal?: AbortSignal): Promise<Backend> {
  if (name === 'webgpu') await import('@tensorflow/tfjs-backend-webgpu');
  else await import('@tensorflow/tfjs-backend-webgl');
  signal?.throwIfAborted();
  await use(name);
  return name === 'webgpu' ? webgpuInUse() : webglInUse();
}

function webglInUse(): Backend {
  const gl = (tf.backend() as MathBackendWebGL).gpgpu.gl as WebGL2RenderingContext;
  let told = false;
  gl.canvas.addEventListener('webglcontextlost', () => (told = true));
  const isLost = (): boolean => told || gl.isContextLost();
  // tfjs asks whether the card is done until it says so, and a lost context never does.
  const wait = gl.clientWaitSync.bind(gl);
  gl.clientWaitSync = (...given) => (isLost() ? gl.ALREADY_SIGNALED : wait(...given));
  const end = (): void => {
    remove('webgl');
    gl.getExtension('WEBGL_lose_context')?.loseContext();
  };
  return { name: 'webgl', use: () => use('webgl'), isLost, end };
}

/** What is used of a GPUDevice and a GPUAdapter; TypeScript's own library doesn't know them yet. */
interface Device extends EventTarget {
  readonly lost: Promise<unknown>;
  destroy(): void;
}
interface Adapter {
  /** Missing in older browsers. */
  readonly info?: Readonly<Record<'vendor' | 'architecture' | 'device' | 'description', string>>;
}
interface WebgpuNavigator {
  readonly gpu?: { requestAdapter(): Promise<Adapter | null> };
}

function webgpuInUse(): Backend {
  // Typed as what all backends have in common; this one has its device besides.
  const { device } = tf.backend() as unknown as { readonly device: Device };
  let lost = false;
  void device.lost.then(() => (lost = true));
  // Out of memory, say: what was to be computed was not.
  device.addEventListener('uncapturederror', () => (lost = true));
  const end = (): void => {
    remove('webgpu');
    device.destroy();
  };
  return { name: 'webgpu', use: () => use('webgpu'), isLost: () => lost, end };
}

async function use(name: BackendName): Promise<void> {
  // Where tfjs does not even register a backend, it throws.
  const started = await tf.setBackend(name).catch(() => false);
  if (!started) throw new Error(`tfjs could not start its ${name} backend`);
  await tf.ready();
}

/** Frees a backend that was started, also one that is still starting; it can be started again. */
export function remove(name: GraphicsName): void {
  const factory = tf.findBackendFactory(name);
  if (!factory) return;
  tf.removeBackend(name);
  tf.registerBackend(name, factory);
}

/** Renderers that draw without a graphics card: they would only take the time of a measurement. */
const software = /swiftshader|llvmpipe|lavapipe|softpipe|software|basic render|warp/i;

/** True where this way seems to lead to a real graphics card. Measure before using it. */
export async function hasGraphicsCard(name: GraphicsName): Promise<boolean> {
  const renderer = name === 'webgpu' ? await webgpuAdapter() : webglRenderer();
  return renderer !== null && !software.test(renderer);
}

async function webgpuAdapter(): Promise<string | null> {
  const { gpu } = navigator as WebgpuNavigator;
  const adapter = await gpu?.requestAdapter().catch(() => null);
  if (!adapter) return null;
  const { info } = adapter;
  return info ? [info.vendor, info.architecture, info.device, info.description].join(' ') : '';
}

function webglRenderer(): string | null {
  if (typeof OffscreenCanvas === 'undefined') return null;
  const gl = new OffscreenCanvas(1, 1).getContext('webgl2');
  if (!gl) return null;
  const info = gl.getExtension('WEBGL_debug_renderer_info');
  const renderer: unknown = gl.getParameter(info ? info.UNMASKED_RENDERER_WEBGL : gl.RENDERER);
  gl.getExtension('WEBGL_lose_context')?.loseContext();
  return typeof renderer === 'string' ? renderer : null;
}

/** Files of a network. Fetched when first asked for and then kept: on another backend they need no connection. */
export interface ModelFiles extends tf.io.IOHandler {
  readonly url: string;
}

export function filesOf(url: string): ModelFiles {
  const web = tf.io.http(url) as Required<tf.io.IOHandler>;
  let kept: tf.io.ModelArtifacts | null = null;
  return { url, load: async () => (kept ??= await web.load()) };
}

/** Loads a graph model on the backend in use; throws an Error that names the file. */
export async function loadModel(files: ModelFiles): Promise<GraphModel> {
  try {
    return await loadGraphModel(files);
  } catch (cause) {
    throw new Error(`The network ${files.url} could not be loaded`, { cause });
  }
}

/** Mean time of `rounds` calls, ms. */
export async function millisecondsOf(
  work: () => Promise<unknown>,
  rounds: number,
  nowMs: () => number,
): Promise<number> {
  const from = nowMs();
  for (let i = 0; i < rounds; i++) await work();
  return (nowMs() - from) / rounds;
}
