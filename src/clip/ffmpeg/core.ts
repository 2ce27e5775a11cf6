/** The part of @ffmpeg/core (FFmpeg compiled to WebAssembly by Emscripten) that is used here. */

interface Stream {
  position: number;
}

interface FileSystem {
  readonly filesystems: { readonly WORKERFS: unknown };
  mkdir(path: string): void;
  mount(type: unknown, options: { blobs: { name: string; data: Blob }[] }, mountpoint: string): void;
  makedev(major: number, minor: number): number;
  registerDevice(
    device: number,
    operations: {
      open?(stream: Stream): void;
      write(stream: Stream, heap: Uint8Array | Int8Array, offset: number, length: number): number;
      llseek?(stream: Stream, offset: number, whence: number): number;
    },
  ): void;
  mkdev(path: string, mode: number, device: number): void;
  readonly ErrnoError: new (errno: number) => Error;
}

export interface FfmpegCore {
  readonly FS: FileSystem;
  setLogger(logger: (line: { type: 'stdout' | 'stderr'; message: string }) => void): void;
  /** Both return the program's exit status; they come back only when it has ended. */
  exec(...args: string[]): number;
  ffprobe(...args: string[]): number;
  reset(): void;
}

/** Where the parts of the core lie; `worker` only for the threaded one. */
export interface CoreUrls {
  readonly script: string;
  readonly wasm: string;
  readonly worker?: string;
}

type Instantiated = (instance: WebAssembly.Instance, module: WebAssembly.Module) => void;
type CreateCore = (options: {
  mainScriptUrlOrBlob: string;
  instantiateWasm?: (imports: WebAssembly.Imports, done: Instantiated) => object;
}) => Promise<FfmpegCore>;

export const coreUrls = (vendorUrl: string, threads: boolean): CoreUrls => {
  const folder = new URL(threads ? 'ffmpeg-mt/' : 'ffmpeg/', vendorUrl).href;
  return {
    script: `${folder}ffmpeg-core.js`,
    wasm: `${folder}ffmpeg-core.wasm`,
    ...(threads ? { worker: `${folder}ffmpeg-core.worker.js` } : {}),
  };
};

/** Threads beyond those that decode; a thread for which no worker waits would never start. */
const SPARE_WORKERS = 4;

/**
 * The core's script. The threaded one starts 32 workers whatever it is asked for, which takes a second and some
 * 300 MiB; as many as are used will do.
 */
async function scriptUrl(urls: CoreUrls, threads: number): Promise<string> {
  if (threads === 1) return urls.script;
  const text = await (await fetch(urls.script)).text();
  const ours = text.replace('pthreadPoolSize=32', `pthreadPoolSize=${threads + SPARE_WORKERS}`);
  return URL.createObjectURL(new Blob([ours], { type: 'text/javascript' }));
}

/**
 * Starts the core out of a module compiled before, so that only the first start costs a compilation. Rejects where the
 * module can't be started (too little memory, say): the core by itself would then never come back.
 */
export async function loadCore(
  urls: CoreUrls,
  compiled: WebAssembly.Module,
  threads: number,
): Promise<FfmpegCore> {
  const script = await scriptUrl(urls, threads);
  const { default: create } = (await import(/* @vite-ignore */ script)) as { default: CreateCore };
  // The core expects its own script's address here, with those of its parts behind the '#'.
  const parts = btoa(JSON.stringify({ wasmURL: urls.wasm, workerURL: urls.worker }));
  return new Promise((resolve, reject) => {
    const core = create({
      mainScriptUrlOrBlob: `${script}#${parts}`,
      instantiateWasm(imports, done) {
        WebAssembly.instantiate(compiled, imports)
          .then((instance) => done(instance, compiled))
          .catch(reject);
        return {};
      },
    });
    core.then(resolve, reject);
  });
}
