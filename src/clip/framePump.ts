import type { EncodedPacket } from 'mediabunny';

/** Decoded frames that may wait for their copy; with the ring behind it this keeps decoder and reader both busy. */
const WAITING_FRAMES = 3;
/** Packets handed to the decoder at once: it never runs dry while the next is read from the file. */
const QUEUED_PACKETS = 3;

/** Feeds one decoder and yields its frames, no more of them in memory than told above. */
export class FramePump {
  private readonly waiting: VideoFrame[] = [];
  private readonly decoder: VideoDecoder;
  private wake: () => void = () => undefined;
  private inputEnded = false;
  private flushed = false;
  /** What stopped reading the file before the end. */
  readError: unknown = null;
  /** What stopped the decoder before the end. */
  decodeError: unknown = null;
  /** The last one that the decoder got. */
  lastPacket: EncodedPacket | null = null;

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
        this.decodeError ??= error;
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
      if (!packet) {
        this.flush();
        continue;
      }
      this.lastPacket = packet;
      this.decoder.decode(packet.toEncodedVideoChunk());
    }
  }

  private async nextPacket(): Promise<EncodedPacket | null> {
    try {
      const { done, value } = await this.packets.next();
      return done ? null : value;
    } catch (error) {
      this.readError ??= error;
      return null;
    }
  }

  private flush(): void {
    this.inputEnded = true;
    this.decoder
      .flush()
      .catch((error: unknown) => {
        this.decodeError ??= error;
      })
      .finally(() => {
        this.flushed = true;
        this.wake();
      });
  }
}
