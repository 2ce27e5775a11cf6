/** Starting FFmpeg: fetched and compiled once, then a worker of its own for each run. */
import { releaseProxy, wrap, type Remote } from 'comlink';
import { ClipError } from '../errors.ts';
import { coreUrls, type CoreUrls } from './core.ts';
import type { FfmpegProgram } from './program.ts';

const MOST_THREADS = 4;

/** FFmpeg compiled, to be started any number of times. */
export interface Runtime {
  readonly urls: CoreUrls;
  readonly compiled: WebAssembly.Module;
  readonly threads: number;
}

/** @throws ClipError decoderMissing where it can't be fetched or compiled. */
export async function loadRuntime(vendorUrl: string, file: File, threaded: boolean): Promise<Runtime> {
  const urls = coreUrls(vendorUrl, threaded);
  try {
    const compiled = await WebAssembly.compileStreaming(fetch(urls.wasm));
    const threads = threaded ? Math.min(MOST_THREADS, navigator.hardwareConcurrency) : 1;
    return { urls, compiled, threads };
  } catch (error) {
    throw new ClipError('decoderMissing', file.name, '', error);
  }
}

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
      worker.onerror = (event) => reject(new Error(event.message || 'the decoder did not start'));
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
    this.worker.onerror = (event) => tell(new Error(event.message || 'the decoder broke down'));
  }

  end(): void {
    this.remote[releaseProxy]();
    this.worker.terminate();
  }
}
