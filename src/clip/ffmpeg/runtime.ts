/** Starting FFmpeg: fetched and compiled once, then a worker of its own for each run. */
import { releaseProxy, wrap, type Remote } from 'comlink';
import { ClipError } from '../errors.ts';
import { coreUrls, type CoreUrls } from './core.ts';
import type { FfmpegProgram } from './program.ts';

/**
 * Two cores are kept busy by one thread and its reader already (1080p HEVC: 96 frames a second, with two threads 80);
 * beyond four threads of decoding the reader is the slower one.
 */
export const threadsFor = (cores: number): number => (cores <= 2 ? 1 : Math.min(4, cores - 1));

/** FFmpeg compiled, to be started any number of times. */
export interface Runtime {
  readonly urls: CoreUrls;
  readonly compiled: WebAssembly.Module;
  readonly threads: number;
}

/** @throws ClipError decoderMissing where it can't be fetched or compiled. */
export async function loadRuntime(vendorUrl: string, file: File, threads: number): Promise<Runtime> {
  const urls = coreUrls(vendorUrl, threads > 1);
  try {
    const compiled = await WebAssembly.compileStreaming(fetch(urls.wasm));
    return { urls, compiled, threads };
  } catch (error) {
    throw new ClipError('decoderMissing', file.name, '', error);
  }
}

/** Else the error would also count as one of the worker that started this one (HTML standard, worker errors). */
const handled = (event: ErrorEvent): void => event.preventDefault();

/** One running worker with FFmpeg in it. */
export class Running {
  private constructor(
    private readonly worker: Worker,
    readonly remote: Remote<FfmpegProgram>,
    readonly threads: number,
  ) {}

  /** @throws ClipError decoderMissing */
  static async start(runtime: Runtime, file: File): Promise<Running> {
    const worker = new Worker(new URL('../../../workers/ffmpeg.ts', import.meta.url), {
      type: 'module',
      name: 'ffmpeg',
    });
    const running = new Running(worker, wrap<FfmpegProgram>(worker), runtime.threads);
    const broken = new Promise<never>((_, reject) => {
      worker.onerror = (event) => {
        handled(event);
        reject(new Error(event.message || 'the decoder did not start'));
      };
    });
    try {
      await Promise.race([
        running.remote.load(runtime.urls, runtime.compiled, runtime.threads, file),
        broken,
      ]);
    } catch (error) {
      running.end();
      throw new ClipError('decoderMissing', file.name, '', error);
    }
    return running;
  }

  /** For one that breaks down while it works. */
  onBreakdown(tell: (error: Error) => void): void {
    this.worker.onerror = (event) => {
      handled(event);
      tell(new Error(event.message || 'the decoder broke down'));
    };
  }

  end(): void {
    this.remote[releaseProxy]();
    this.worker.terminate();
  }
}
