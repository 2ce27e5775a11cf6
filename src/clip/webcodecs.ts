/** Path A: demuxed by mediabunny, decoded by the browser. */
import { EncodedPacketSink, type EncodedPacket, type InputVideoTrack } from 'mediabunny';
import { PictureBuffers, pictureIn } from './buffers.ts';
import { matrixOf } from './colour.ts';
import { i420Bytes, i420Of, turn } from './planes.ts';
import { SAME_TIME_S, type FrameSource } from './source.ts';
import { frameSize, toI420 } from './toI420.ts';
import type { ClipInfo, Picture } from './types.ts';

/** Decoded frames that may wait for their copy; with the ring behind it this keeps decoder and reader both busy. */
const WAITING_FRAMES = 3;
/** Packets handed to the decoder at once: it never runs dry while the next is read from the file. */
const QUEUED_PACKETS = 3;

/** Feeds one decoder and yields its frames, no more of them in memory than told above. */
class FramePump {
  private readonly waiting: VideoFrame[] = [];
  private readonly decoder: VideoDecoder;
  private wake: () => void = () => undefined;
  private inputEnded = false;
  private flushed = false;
  /** What stopped reading or decoding before the end. */
  error: unknown = null;

  constructor(
    config: VideoDecoderConfig,
    private readonly packets: AsyncGenerator<EncodedPacket, void>,
  ) {
    this.decoder = new VideoDecoder({
      output: (frame) => {
        this.waiting.push(frame);
        this.wake();
      },
      error: (error) => {
        this.error ??= error;
        this.wake();
      },
    });
    this.decoder.ondequeue = () => this.wake();
    this.decoder.configure(config);
  }

  /** The next frame in order of presentation, to be closed by the caller; null at the end or after an error. */
  async next(): Promise<VideoFrame | null> {
    for (;;) {
      await this.feed();
      const frame = this.waiting.shift();
      if (frame) return frame;
      if (this.flushed || this.decoder.state === 'closed') return null;
      await new Promise<void>((resolve) => {
        this.wake = resolve;
        if (this.waiting.length > 0 || this.flushed || this.wantsMore()) resolve();
      });
    }
  }

  close(): void {
    if (this.decoder.state !== 'closed') this.decoder.close();
    for (const frame of this.waiting.splice(0)) frame.close();
    void this.packets.return();
  }

  private wantsMore(): boolean {
    if (this.inputEnded || this.decoder.state === 'closed') return false;
    return this.waiting.length < WAITING_FRAMES && this.decoder.decodeQueueSize < QUEUED_PACKETS;
  }

  private async feed(): Promise<void> {
    while (this.wantsMore()) {
      const packet = await this.nextPacket();
      if (this.decoder.state === 'closed') return;
      if (packet) this.decoder.decode(packet.toEncodedVideoChunk());
      else this.flush();
    }
  }

  private async nextPacket(): Promise<EncodedPacket | null> {
    try {
      const { done, value } = await this.packets.next();
      return done ? null : value;
    } catch (error) {
      this.error ??= error;
      return null;
    }
  }

  private flush(): void {
    this.inputEnded = true;
    this.decoder
      .flush()
      .catch((error: unknown) => {
        this.error ??= error;
      })
      .finally(() => {
        this.flushed = true;
        this.wake();
      });
  }
}

/** What the picture's planes mean, where the frame itself doesn't say. */
interface Tags {
  readonly matrix?: string | null;
  readonly fullRange?: boolean | null;
}

/** @param endS Where an edit list ends the clip; Infinity if it doesn't. */
export class WebCodecsSource implements FrameSource {
  readonly aheadFrames = 4;
  readonly buffers = new PictureBuffers();
  faulty = false;
  /** Where frames lie before they are turned. */
  private unturned = new Uint8Array(0);

  constructor(
    readonly info: ClipInfo,
    private readonly track: InputVideoTrack,
    private readonly endS: number,
  ) {}

  async *frames(fromS: number | null): AsyncGenerator<Picture, void> {
    const config = await this.track.getDecoderConfig();
    const sink = new EncodedPacketSink(this.track);
    const key =
      fromS === null ? null : await sink.getKeyPacket(fromS + SAME_TIME_S, { verifyKeyPackets: true });
    const start = key ?? (await sink.getFirstKeyPacket({ verifyKeyPackets: true }));
    if (!config || !start) return;
    const tags = await this.track.getColorSpace();
    const pump = new FramePump(config, sink.packets(start));
    try {
      for await (const { frame, timeS } of this.shown(pump, fromS)) {
        yield await this.picture(frame, timeS, tags).finally(() => frame.close());
      }
      if (pump.error !== null) this.faulty = true;
    } finally {
      pump.close();
    }
  }

  close(): void {
    this.track.input.dispose();
  }

  private async picture(frame: VideoFrame, timeS: number, tags: Tags): Promise<Picture> {
    const { rotationDeg } = this.info;
    const { widthPx, heightPx } = frameSize(frame);
    const sideways = rotationDeg === 90 || rotationDeg === 270;
    const buffer = sideways ? this.buffers.take(heightPx, widthPx) : this.buffers.take(widthPx, heightPx);
    const bytes = rotationDeg === 0 ? buffer.bytes : this.unturnedBytes(i420Bytes(widthPx, heightPx));
    const converted = await toI420(frame, bytes);
    if (rotationDeg !== 0) turn(i420Of(bytes, widthPx, heightPx), rotationDeg, buffer.planes);
    return pictureIn(buffer, {
      timeS,
      matrix: converted ? 'bt709' : matrixOf(tags.matrix, heightPx),
      fullRange: converted ? false : (tags.fullRange ?? frame.colorSpace.fullRange ?? false),
    });
  }

  private unturnedBytes(byteLength: number): Uint8Array {
    if (this.unturned.length !== byteLength) this.unturned = new Uint8Array(byteLength);
    return this.unturned;
  }

  /** The frames that the edit list shows, from the one on show at fromS on. */
  private async *shown(
    pump: FramePump,
    fromS: number | null,
  ): AsyncGenerator<{ frame: VideoFrame; timeS: number }, void> {
    let held: { frame: VideoFrame; timeS: number } | null = null;
    try {
      for (let frame = await pump.next(); frame; frame = await pump.next()) {
        const timeS = frame.timestamp / 1e6;
        if (timeS < -SAME_TIME_S || timeS > this.endS - SAME_TIME_S) {
          frame.close();
          continue;
        }
        const before = held;
        held = { frame, timeS };
        if (before && fromS !== null && timeS <= fromS + SAME_TIME_S) before.frame.close();
        else if (before) yield before;
      }
      const last = held;
      held = null;
      if (last) yield last;
    } finally {
      held?.frame.close();
    }
  }
}
