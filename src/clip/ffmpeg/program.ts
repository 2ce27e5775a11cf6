/** Runs inside a worker of its own, because ffmpeg doesn't come back until it is done. */
import { loadCore, type CoreUrls, type FfmpegCore } from './core.ts';
import { FrameSink, type FrameOutlet, type Wanted } from './frameSink.ts';
import type { Probed } from './probe.ts';
import { slotOf, takeSlot, type Slots } from './slots.ts';

const FOLDER = '/clip';
/** No extension: ffmpeg shall judge by the content. */
const INPUT = `${FOLDER}/input`;
const OUTPUT = '/dev/frames';
/** Emscripten's number for a pipe whose reader has gone. */
const EPIPE = 64;
const KEPT_LOG_LINES = 40;

/** A frame in shared slot n (bytes null), or with its bytes where memory can't be shared. */
export type FrameMessage =
  | { readonly kind: 'frame'; readonly timeUs: number; readonly bytes: Uint8Array | null }
  | { readonly kind: 'end'; readonly log: readonly string[] };

export interface RunRequest {
  /** Without input and output, which are filled in at the words INPUT and OUTPUT. */
  readonly args: readonly string[];
  readonly frameBytes: number;
  readonly wanted: Wanted;
  readonly slots: Slots | null;
}

const sharedOutlet = (slots: Slots, port: MessagePort): FrameOutlet => {
  let n = -1;
  return {
    take() {
      if (!takeSlot(slots)) return null;
      n++;
      return slotOf(slots, n);
    },
    give: (timeUs) => port.postMessage({ kind: 'frame', timeUs, bytes: null } satisfies FrameMessage),
  };
};

const copyingOutlet = (frameBytes: number, port: MessagePort): FrameOutlet => {
  let bytes = new Uint8Array(0);
  return {
    take() {
      bytes = new Uint8Array(frameBytes);
      return bytes;
    },
    give: (timeUs) =>
      port.postMessage({ kind: 'frame', timeUs, bytes } satisfies FrameMessage, [bytes.buffer]),
  };
};

export class FfmpegProgram {
  private core: FfmpegCore | null = null;
  private sink: FrameSink | null = null;
  private lines: string[] = [];
  private output = '';

  async load(urls: CoreUrls, compiled: WebAssembly.Module, threads: number, file: File): Promise<void> {
    const core = await loadCore(urls, compiled, threads);
    core.setLogger(({ type, message }) => this.log(type, message));
    core.FS.mkdir(FOLDER);
    core.FS.mount(core.FS.filesystems.WORKERFS, { blobs: [{ name: 'input', data: file }] }, FOLDER);
    const device = core.FS.makedev(64, 0);
    core.FS.registerDevice(device, {
      write: (_stream, heap, offset, length) => {
        // A view of the heap at this moment: it may have moved since the last call.
        const bytes = new Uint8Array(heap.buffer, heap.byteOffset + offset, length);
        if (this.sink && !this.sink.write(bytes)) throw new core.FS.ErrnoError(EPIPE);
        return length;
      },
    });
    core.FS.mkdev(OUTPUT, 0o666, device);
    this.core = core;
  }

  /** ffprobe's answer, and the log for what it doesn't say. */
  probe(): { probed: Probed; log: string[] } {
    this.output = '';
    this.lines = [];
    this.core?.ffprobe('-v', 'error', '-show_format', '-show_streams', '-of', 'json', INPUT);
    try {
      return { probed: JSON.parse(this.output) as Probed, log: this.lines };
    } catch {
      return { probed: {}, log: this.lines };
    }
  }

  /** Decodes; frames and the end go to the port. Comes back when all is written or enough was given. */
  run(request: RunRequest, port: MessagePort): void {
    const { slots, frameBytes } = request;
    const outlet = slots ? sharedOutlet(slots, port) : copyingOutlet(frameBytes, port);
    this.lines = [];
    this.sink = new FrameSink(frameBytes, request.wanted, outlet);
    this.core?.reset();
    this.core?.exec(
      ...request.args.map((arg) => (arg === 'INPUT' ? INPUT : arg === 'OUTPUT' ? OUTPUT : arg)),
    );
    this.sink = null;
    port.postMessage({ kind: 'end', log: this.lines } satisfies FrameMessage);
  }

  private log(type: 'stdout' | 'stderr', message: string): void {
    if (type === 'stdout') {
      this.output += `${message}\n`;
      return;
    }
    if (message.includes('Parsed_showinfo')) {
      this.sink?.readLog(message);
      return;
    }
    this.lines.push(message);
    if (this.lines.length > KEPT_LOG_LINES) this.lines.shift();
  }
}
