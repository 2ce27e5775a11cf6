/** Path B: decoded by FFmpeg compiled to WebAssembly, for what the browser can't decode. */
import { transfer } from 'comlink';
import { PictureBuffers, pictureIn } from '../buffers.ts';
import { ClipError } from '../errors.ts';
import { i420Bytes } from '../planes.ts';
import { SAME_TIME_S, type FrameSource } from '../source.ts';
import type { ClipInfo, Picture } from '../types.ts';
import { decodeArgs, type ProbedVideo } from './probe.ts';
import { Inbox } from './inbox.ts';
import { loadRuntime, Running, type Runtime } from './runtime.ts';
import { createSlots, freeSlot, leave, slotOf, type Slots } from './slots.ts';

const SLOTS = 2;
/** Where memory can't be shared, the decoder can't be made to wait: it then works off this much at a time. */
const SEGMENT_BYTES = 64 * 2 ** 20;
/** The threaded core takes some hundred milliseconds more to start. */
const FRAMES_WORTH_THREADS = 200;
/** A program whose reader has gone ends after a frame or two; one that doesn't is stopped. */
const MOST_WAITED_MS = 1000;

export class FfmpegSource implements FrameSource {
  readonly aheadFrames = 2;
  readonly buffers = new PictureBuffers();
  faulty = false;
  private readonly running = new Map<Running, Inbox>();
  private readonly frameBytes: number;
  private threaded: Promise<Runtime> | null = null;
  private closed = false;
  /** Programs ready for another run, at most one of either kind. */
  private idle: Running[];

  /** @param program The one that probed the file. */
  constructor(
    readonly info: ClipInfo,
    private readonly file: File,
    private readonly video: ProbedVideo,
    private readonly options: { readonly vendorUrl: string; readonly threads: number },
    private readonly single: Runtime,
    program: Running,
  ) {
    this.frameBytes = i420Bytes(video.widthPx, video.heightPx);
    this.idle = [program];
  }

  async *frames(): AsyncGenerator<Picture, void> {
    if (crossOriginIsolated) {
      yield* this.stretch(null, Infinity);
      return;
    }
    const most = Math.max(1, Math.floor(SEGMENT_BYTES / this.frameBytes));
    let lastS: number | null = null;
    for (let given = most; given === most;) {
      given = 0;
      for await (const picture of this.stretch(lastS, most)) {
        given++;
        lastS = picture.timeS;
        yield picture;
      }
    }
  }

  close(): void {
    this.closed = true;
    for (const program of this.idle.splice(0)) program.end();
    for (const [program, inbox] of this.running) {
      program.end();
      inbox.fail(new ClipError('notOpen', this.file.name));
    }
    this.running.clear();
  }

  /** A program for the next run: threads pay where so many frames follow that their start doesn't count. */
  private async program(): Promise<Running> {
    const { durationS, meanFps } = this.info;
    const worthIt = durationS * meanFps >= FRAMES_WORTH_THREADS;
    const threaded = worthIt && crossOriginIsolated && this.options.threads > 1;
    const at = this.idle.findIndex(({ threads }) => threads > 1 === threaded);
    const [ready] = at < 0 ? [] : this.idle.splice(at, 1);
    if (ready) return ready;
    if (!threaded) return Running.start(this.single, this.file);
    this.threaded ??= loadRuntime(this.options.vendorUrl, this.file, this.options.threads);
    return Running.start(await this.threaded, this.file);
  }

  private async putBack(program: Running, inbox: Inbox): Promise<void> {
    const reusable = await inbox.ends(MOST_WAITED_MS);
    const another = this.idle.some(({ threads }) => threads === program.threads);
    if (reusable && !another && !this.closed) this.idle.push(program);
    else program.end();
  }

  /** One run of the program: the frames later than `afterS`, all if null, so many at most. */
  private async *stretch(afterS: number | null, maxFrames: number): AsyncGenerator<Picture, void> {
    const program = await this.program();
    const { port1, port2 } = new MessageChannel();
    const inbox = new Inbox(port1);
    program.onBreakdown((error) => inbox.fail(error));
    this.running.set(program, inbox);
    const slots = crossOriginIsolated ? createSlots(SLOTS, this.frameBytes) : null;
    try {
      const args = decodeArgs(this.video, 'INPUT', 'OUTPUT', afterS, program.threads);
      const afterUs = afterS === null ? null : Math.round((afterS + SAME_TIME_S) * 1e6);
      const wanted = { afterUs, maxFrames };
      const request = { args, frameBytes: this.frameBytes, wanted, slots };
      program.remote.run(request, transfer(port2, [port2])).catch((error: unknown) => inbox.fail(error));
      yield* this.received(inbox, slots);
    } finally {
      if (slots) leave(slots);
      await this.putBack(program, inbox);
      this.running.delete(program);
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
      const { widthPx, heightPx, matrix, fullRange } = this.video;
      const buffer = this.buffers.take(widthPx, heightPx);
      const bytes = slots ? slotOf(slots, n) : message.bytes;
      if (bytes) buffer.bytes.set(bytes);
      if (slots) freeSlot(slots);
      yield pictureIn(buffer, { timeS: message.timeUs / 1e6, matrix, fullRange });
    }
  }
}
