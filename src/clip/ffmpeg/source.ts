/** Path B: decoded by FFmpeg compiled to WebAssembly, for what the browser can't decode. */
import { releaseProxy, transfer, wrap, type Remote } from 'comlink';
import { ClipError } from '../errors.ts';
import { i420Bytes, i420Of, shrinkFactor, shrunk, SMALL_WIDTH_PX } from '../planes.ts';
import { SAME_TIME_S, type FrameSource } from '../source.ts';
import type { ClipInfo, Picture } from '../types.ts';
import { coreUrls, type CoreUrls } from './core.ts';
import { decodeArgs, type ProbedVideo } from './probe.ts';
import type { FfmpegProgram, FrameMessage } from './program.ts';
import { createSlots, freeSlot, slotOf, type Slots } from './slots.ts';

const SLOTS = 2;
/** Where memory can't be shared, the decoder can't be made to wait: it then works off this much at a time. */
const SEGMENT_BYTES = 64 * 2 ** 20;
const MOST_THREADS = 4;

/** One running worker with FFmpeg in it. */
class Program {
  private constructor(
    private readonly worker: Worker,
    readonly remote: Remote<FfmpegProgram>,
  ) {}

  static async start(runtime: Runtime, file: File): Promise<Program> {
    const worker = new Worker(new URL('../../../workers/ffmpeg.ts', import.meta.url), {
      type: 'module',
      name: 'ffmpeg',
    });
    const program = new Program(worker, wrap<FfmpegProgram>(worker));
    const broken = new Promise<never>((_, reject) => {
      worker.onerror = (event) => reject(new Error(event.message || 'the decoder did not start'));
    });
    try {
      await Promise.race([program.remote.load(runtime.urls, runtime.compiled, file), broken]);
    } catch (error) {
      program.end();
      throw new ClipError('decoderMissing', file.name, '', error);
    }
    return program;
  }

  end(): void {
    this.remote[releaseProxy]();
    this.worker.terminate();
  }
}

/** FFmpeg compiled, to be started any number of times. */
export interface Runtime {
  readonly urls: CoreUrls;
  readonly compiled: WebAssembly.Module;
  readonly threads: number;
}

/** @throws ClipError decoderMissing where it can't be fetched or compiled. */
export async function loadRuntime(vendorUrl: string, file: File): Promise<Runtime> {
  const threads = crossOriginIsolated ? Math.min(MOST_THREADS, navigator.hardwareConcurrency) : 1;
  const urls = coreUrls(vendorUrl, threads > 1);
  try {
    const compiled = await WebAssembly.compileStreaming(fetch(urls.wasm));
    return { urls, compiled, threads };
  } catch (error) {
    throw new ClipError('decoderMissing', file.name, '', error);
  }
}

/** Asks FFmpeg what is in the file. */
export async function probe(runtime: Runtime, file: File): ReturnType<Remote<FfmpegProgram>['probe']> {
  const program = await Program.start(runtime, file);
  try {
    return await program.remote.probe();
  } finally {
    program.end();
  }
}

/** The messages of one run, one after the other. */
class Inbox {
  private readonly messages: FrameMessage[] = [];
  private failure: { readonly error: unknown } | null = null;
  private wake: () => void = () => undefined;

  constructor(port: MessagePort) {
    port.onmessage = (event: MessageEvent<FrameMessage>) => {
      this.messages.push(event.data);
      this.wake();
    };
  }

  async next(): Promise<FrameMessage> {
    for (;;) {
      const message = this.messages.shift();
      if (message) return message;
      if (this.failure) throw this.failure.error;
      await new Promise<void>((resolve) => (this.wake = resolve));
    }
  }

  /** For a program that was ended or broke down: its end will not come by itself. */
  fail(error: unknown): void {
    this.failure ??= { error };
    this.wake();
  }
}

export class FfmpegSource implements FrameSource {
  readonly aheadFrames = 2;
  faulty = false;
  private readonly running = new Map<Program, Inbox>();
  private readonly frameBytes: number;

  constructor(
    readonly info: ClipInfo,
    private readonly video: ProbedVideo,
    private readonly runtime: Runtime,
    private readonly file: File,
  ) {
    this.frameBytes = i420Bytes(video.widthPx, video.heightPx);
  }

  async *frames(fromS: number | null): AsyncGenerator<Picture, void> {
    if (crossOriginIsolated) {
      yield* this.stretch(fromS, null, Infinity);
      return;
    }
    const most = Math.max(1, Math.floor(SEGMENT_BYTES / this.frameBytes));
    let lastS: number | null = null;
    for (let given = most; given === most;) {
      given = 0;
      for await (const picture of this.stretch(lastS ?? fromS, lastS, most)) {
        given++;
        lastS = picture.timeS;
        yield picture;
      }
    }
  }

  close(): void {
    for (const [program, inbox] of this.running) {
      program.end();
      inbox.fail(new ClipError('notOpen', this.file.name));
    }
    this.running.clear();
  }

  /** One run of the program. */
  private async *stretch(
    fromS: number | null,
    afterS: number | null,
    maxFrames: number,
  ): AsyncGenerator<Picture, void> {
    const program = await Program.start(this.runtime, this.file);
    const { port1, port2 } = new MessageChannel();
    const inbox = new Inbox(port1);
    this.running.set(program, inbox);
    try {
      const slots = crossOriginIsolated ? createSlots(SLOTS, this.frameBytes) : null;
      const us = (timeS: number | null): number | null =>
        timeS === null ? null : Math.round((timeS + SAME_TIME_S) * 1e6);
      const args = decodeArgs(this.video, 'INPUT', 'OUTPUT', fromS, this.runtime.threads);
      const wanted = { onShowAtUs: afterS === null ? us(fromS) : null, afterUs: us(afterS), maxFrames };
      const request = { args, frameBytes: this.frameBytes, wanted, slots };
      program.remote.run(request, transfer(port2, [port2])).catch((error: unknown) => inbox.fail(error));
      yield* this.received(inbox, slots);
    } finally {
      this.running.delete(program);
      program.end();
    }
  }

  private async *received(inbox: Inbox, slots: Slots | null): AsyncGenerator<Picture, void> {
    for (let n = 0; ; n++) {
      const message = await inbox.next();
      if (message.kind === 'end') {
        this.faulty ||= message.log.some((line) =>
          /error while decoding|invalid data|partial file/i.test(line),
        );
        return;
      }
      const bytes = slots ? slotOf(slots, n).slice() : message.bytes;
      if (slots) freeSlot(slots);
      if (bytes) yield this.picture(bytes, message.timeUs / 1e6);
    }
  }

  private picture(bytes: Uint8Array, timeS: number): Picture {
    const { widthPx, heightPx, matrix, fullRange } = this.video;
    const { y, u, v } = i420Of(bytes, widthPx, heightPx);
    const small = shrunk(y, widthPx, heightPx, shrinkFactor(widthPx, SMALL_WIDTH_PX));
    return { timeS, widthPx, heightPx, y, u, v, matrix, fullRange, small };
  }
}
