/** Path A: demuxed by mediabunny, decoded by the browser. */
import { EncodedPacketSink, type EncodedPacket, type InputVideoTrack } from 'mediabunny';
import { PictureBuffers, pictureIn } from './buffers.ts';
import { matrixOf } from './colour.ts';
import { FramePump } from './framePump.ts';
import { i420Bytes, i420Of, turn } from './planes.ts';
import { SAME_TIME_S, type FrameSource } from './source.ts';
import { frameSize, toI420 } from './toI420.ts';
import type { ClipInfo, Picture } from './types.ts';

/** After so many failures in a row, without a frame between them, the rest is given up. */
const MOST_FAILURES = 5;

/** What the picture's planes mean, where the frame itself doesn't say. */
interface Tags {
  readonly matrix?: string | null;
  readonly fullRange?: boolean | null;
}

/** Where frames lie before they are turned, one for each reading. */
interface Scratch {
  bytes: Uint8Array;
}

function scratchBytes(scratch: Scratch, byteLength: number): Uint8Array {
  if (scratch.bytes.length !== byteLength) scratch.bytes = new Uint8Array(byteLength);
  return scratch.bytes;
}

/** @param endS Where an edit list ends the clip; Infinity if it doesn't. */
export class WebCodecsSource implements FrameSource {
  readonly aheadFrames = 4;
  readonly buffers = new PictureBuffers();
  faulty = false;

  constructor(
    readonly info: ClipInfo,
    private readonly track: InputVideoTrack,
    private readonly endS: number,
  ) {}

  async *frames(): AsyncGenerator<Picture, void> {
    const config = await this.track.getDecoderConfig();
    const sink = new EncodedPacketSink(this.track);
    const start = await sink.getFirstKeyPacket({ verifyKeyPackets: true });
    if (!config || !start) return;
    const tags = await this.track.getColorSpace();
    const unturned: Scratch = { bytes: new Uint8Array(0) };
    for await (const { frame, timeS } of this.shown(this.decoded(config, sink, start))) {
      yield await this.picture(frame, timeS, tags, unturned).finally(() => frame.close());
    }
  }

  close(): void {
    this.track.input.dispose();
  }

  private async picture(frame: VideoFrame, timeS: number, tags: Tags, unturned: Scratch): Promise<Picture> {
    const { rotationDeg } = this.info;
    const { widthPx, heightPx } = frameSize(frame);
    const sideways = rotationDeg === 90 || rotationDeg === 270;
    const buffer = sideways ? this.buffers.take(heightPx, widthPx) : this.buffers.take(widthPx, heightPx);
    const bytes = rotationDeg === 0 ? buffer.bytes : scratchBytes(unturned, i420Bytes(widthPx, heightPx));
    const converted = await toI420(frame, bytes);
    if (rotationDeg !== 0) turn(i420Of(bytes, widthPx, heightPx), rotationDeg, buffer.planes);
    return pictureIn(buffer, {
      timeS,
      matrix: converted ? 'bt709' : matrixOf(tags.matrix, heightPx),
      fullRange: converted ? false : (tags.fullRange ?? frame.colorSpace.fullRange ?? false),
    });
  }

  /** Every frame in order; where the data are damaged, on from the next key frame. */
  private async *decoded(
    config: VideoDecoderConfig,
    sink: EncodedPacketSink,
    start: EncodedPacket,
  ): AsyncGenerator<VideoFrame, void> {
    let lastUs = -Infinity;
    let failures = 0;
    for (let key: EncodedPacket | null = start; key && failures < MOST_FAILURES;) {
      const pump = new FramePump(config, sink.packets(key));
      try {
        for (let frame = await pump.next(); frame; frame = await pump.next()) {
          if (frame.timestamp <= lastUs) {
            frame.close();
            continue;
          }
          lastUs = frame.timestamp;
          failures = 0;
          yield frame;
        }
        this.faulty ||= pump.readError !== null || pump.decodeError !== null;
        if (pump.decodeError === null || !pump.lastPacket) return;
        failures++;
        key = await sink.getNextKeyPacket(pump.lastPacket, { verifyKeyPackets: true });
      } finally {
        pump.close();
      }
    }
  }

  /** The frames that the edit list shows. */
  private async *shown(
    frames: AsyncGenerator<VideoFrame, void>,
  ): AsyncGenerator<{ frame: VideoFrame; timeS: number }, void> {
    for await (const frame of frames) {
      const timeS = frame.timestamp / 1e6;
      if (timeS < -SAME_TIME_S || timeS > this.endS - SAME_TIME_S) frame.close();
      else yield { frame, timeS };
    }
  }
}
