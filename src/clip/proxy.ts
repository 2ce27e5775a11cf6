/** A small copy of a clip, made while it is decoded, that a <video> element can play: same frames, same times. */
import {
  BufferTarget,
  canEncodeVideo,
  Mp4OutputFormat,
  Output,
  QUALITY_MEDIUM,
  VideoSample,
  VideoSampleSource,
  WebMOutputFormat,
  type VideoCodec,
} from 'mediabunny';
import { i420Bytes, i420Of } from './planes.ts';
import { shrinkFactor, shrunk } from './shrink.ts';
import type { Picture } from './types.ts';

export const PROXY_WIDTH_PX = 1280;
/** Stepping from frame to frame shall be quick. */
const KEY_FRAME_EVERY_S = 0.5;
/** MP4 first: its times are exact, WebM's are whole milliseconds. */
const CODECS: readonly VideoCodec[] = ['avc', 'vp9', 'vp8'];

/** The planes shrunk by a whole factor, to an even size, one after the other. */
function proxyPlanes(picture: Picture): { bytes: Uint8Array; widthPx: number; heightPx: number } {
  const factor = shrinkFactor(picture.widthPx, PROXY_WIDTH_PX);
  const widthPx = Math.floor(picture.widthPx / factor / 2) * 2;
  const heightPx = Math.floor(picture.heightPx / factor / 2) * 2;
  const bytes = new Uint8Array(i420Bytes(widthPx, heightPx));
  const to = i420Of(bytes, widthPx, heightPx);
  const chroma = { widthPx: (picture.widthPx + 1) >> 1, heightPx: (picture.heightPx + 1) >> 1 };
  const planes = [
    { from: picture.y, ...picture, to: to.y, toWidth: widthPx, toHeight: heightPx },
    { from: picture.u, ...chroma, to: to.u, toWidth: widthPx / 2, toHeight: heightPx / 2 },
    { from: picture.v, ...chroma, to: to.v, toWidth: widthPx / 2, toHeight: heightPx / 2 },
  ];
  for (const plane of planes) {
    const small = shrunk(plane.from, plane.widthPx, plane.heightPx, factor);
    for (let row = 0; row < plane.toHeight; row++) {
      const start = row * small.widthPx;
      plane.to.set(small.data.subarray(start, start + plane.toWidth), row * plane.toWidth);
    }
  }
  return { bytes, widthPx, heightPx };
}

/**
 * Frames must come in order; each is encoded when the next one tells how long it lasts. A failure waits until
 * `finish`: the reading of the clip goes on without a copy.
 */
export class ProxyWriter {
  private readonly target = new BufferTarget();
  private readonly output: Output;
  private readonly source: VideoSampleSource;
  private held: VideoSample | null = null;
  private started = false;
  private failed: { readonly cause: unknown } | null = null;

  private constructor(
    private readonly codec: VideoCodec,
    private readonly meanFps: number,
  ) {
    const format = codec === 'avc' ? new Mp4OutputFormat() : new WebMOutputFormat();
    this.output = new Output({ format, target: this.target });
    this.source = new VideoSampleSource({
      codec,
      quality: QUALITY_MEDIUM,
      keyFrameInterval: KEY_FRAME_EVERY_S,
    });
    this.output.addVideoTrack(this.source);
  }

  /** Null where this browser encodes nothing. Sizes are those of the full picture. */
  static async create(widthPx: number, heightPx: number, meanFps: number): Promise<ProxyWriter | null> {
    if (typeof VideoEncoder === 'undefined') return null;
    const factor = shrinkFactor(widthPx, PROXY_WIDTH_PX);
    const size = {
      width: Math.floor(widthPx / factor / 2) * 2,
      height: Math.floor(heightPx / factor / 2) * 2,
    };
    for (const codec of CODECS) {
      if (await canEncodeVideo(codec, { ...size, quality: QUALITY_MEDIUM }))
        return new ProxyWriter(codec, meanFps);
    }
    return null;
  }

  /** Takes the next frame; does nothing once the copy has failed. */
  async add(picture: Picture): Promise<void> {
    if (this.failed) return;
    try {
      await this.encode(picture);
    } catch (cause) {
      this.failed = { cause };
      await this.cancel().catch(() => undefined);
    }
  }

  private async encode(picture: Picture): Promise<void> {
    const before = this.held;
    const { bytes, widthPx, heightPx } = proxyPlanes(picture);
    this.held = new VideoSample(bytes, {
      format: 'I420',
      codedWidth: widthPx,
      codedHeight: heightPx,
      timestamp: picture.timeS,
      duration: 1 / (this.meanFps || 25),
      colorSpace: {
        matrix: picture.matrix === 'bt709' ? 'bt709' : 'smpte170m',
        primaries: picture.matrix === 'bt709' ? 'bt709' : 'smpte170m',
        transfer: picture.matrix === 'bt709' ? 'bt709' : 'smpte170m',
        fullRange: picture.fullRange,
      },
    });
    if (!before) return;
    before.setDuration(picture.timeS - before.timestamp);
    await this.write(before);
  }

  /** The finished copy; null if no frame was added. Throws what made the copy fail. */
  async finish(): Promise<Blob | null> {
    if (this.failed) throw this.failed.cause;
    if (this.held) await this.write(this.held);
    this.held = null;
    if (!this.started) return null;
    await this.output.finalize();
    this.started = false;
    const bytes = this.target.buffer;
    return bytes && new Blob([bytes], { type: this.codec === 'avc' ? 'video/mp4' : 'video/webm' });
  }

  async cancel(): Promise<void> {
    this.held?.close();
    this.held = null;
    if (this.started) await this.output.cancel();
  }

  private async write(sample: VideoSample): Promise<void> {
    if (!this.started) {
      this.started = true;
      await this.output.start();
    }
    try {
      await this.source.add(sample);
    } finally {
      sample.close();
    }
  }
}
