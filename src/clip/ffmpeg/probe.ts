/** What ffprobe says about a clip, and the arguments that follow from it. */
import { matrixOf, type Matrix } from '../colour.ts';
import type { RotationDeg } from '../planes.ts';

/** ffprobe's JSON, the fields used here. */
interface ProbedStream {
  readonly index: number;
  readonly codec_type?: string;
  readonly codec_name?: string;
  readonly width?: number;
  readonly height?: number;
  readonly sample_aspect_ratio?: string;
  readonly color_range?: string;
  readonly color_space?: string;
  readonly avg_frame_rate?: string;
  readonly start_time?: string;
  readonly duration?: string;
  readonly pix_fmt?: string;
  readonly disposition?: { readonly attached_pic?: number };
  readonly side_data_list?: readonly { readonly rotation?: number }[];
}
export interface Probed {
  readonly format?: {
    readonly format_name?: string;
    readonly start_time?: string;
    readonly duration?: string;
  };
  readonly streams?: readonly ProbedStream[];
}

/** A clip's picture as ffmpeg will write it. */
export interface ProbedVideo {
  readonly streamIndex: number;
  readonly container: string;
  readonly codec: string;
  /** As displayed: square pixels, turned. */
  readonly widthPx: number;
  readonly heightPx: number;
  readonly rotationDeg: RotationDeg;
  readonly startS: number;
  readonly durationS: number;
  readonly meanFps: number;
  /** The file's own zero, from which ffmpeg counts when it seeks. */
  readonly containerStartS: number;
  readonly matrix: Matrix;
  readonly fullRange: boolean;
}

const numberOf = (text: string | undefined): number | null => {
  const value = parseFloat(text ?? '');
  return Number.isFinite(value) ? value : null;
};

function ratio(text: string | undefined, separator: string): number | null {
  const [over, under] = (text ?? '').split(separator).map(Number);
  return over && under ? over / under : null;
}

/** ffprobe counts counter-clockwise. */
function rotationOf(stream: ProbedStream): RotationDeg {
  const turn = stream.side_data_list?.find((data) => data.rotation !== undefined)?.rotation ?? 0;
  const quarter = ((Math.round(-turn / 90) % 4) + 4) % 4;
  return ([0, 90, 180, 270] as const)[quarter] ?? 0;
}

/** The stream with the clip's pictures, cover art left aside; null if there is none. */
export function videoStream(probed: Probed): ProbedStream | null {
  const streams = probed.streams ?? [];
  return streams.find((stream) => stream.codec_type === 'video' && !stream.disposition?.attached_pic) ?? null;
}

export const hasSound = (probed: Probed): boolean =>
  (probed.streams ?? []).some((stream) => stream.codec_type === 'audio');

/** Null where the stream's size is unknown, which means that its header could not be read. */
export function describe(probed: Probed, stream: ProbedStream): ProbedVideo | null {
  const { width, height } = stream;
  if (!width || !height) return null;
  const rotationDeg = rotationOf(stream);
  const squareWidth = Math.round(width * (ratio(stream.sample_aspect_ratio, ':') ?? 1));
  const upright = rotationDeg === 0 || rotationDeg === 180;
  const containerStartS = numberOf(probed.format?.start_time) ?? 0;
  return {
    streamIndex: stream.index,
    container: probed.format?.format_name ?? 'unknown',
    codec: stream.codec_name ?? 'unknown',
    widthPx: upright ? squareWidth : height,
    heightPx: upright ? height : squareWidth,
    rotationDeg,
    startS: numberOf(stream.start_time) ?? containerStartS,
    durationS: numberOf(stream.duration) ?? numberOf(probed.format?.duration) ?? 0,
    meanFps: ratio(stream.avg_frame_rate, '/') ?? 0,
    containerStartS,
    matrix: matrixOf(stream.color_space, height),
    fullRange: stream.color_range === 'pc' || (stream.pix_fmt ?? '').startsWith('yuvj'),
  };
}

/**
 * Arguments that make ffmpeg write every frame's planes to `output` and its time, in microseconds of the file's own
 * clock, to the log.
 * @param fromS Decoding begins at the key frame before this time, s; null: at the start.
 */
export function decodeArgs(
  video: ProbedVideo,
  input: string,
  output: string,
  fromS: number | null,
  threads: number,
): string[] {
  const seek =
    fromS === null ? [] : ['-noaccurate_seek', '-ss', Math.max(0, fromS - video.containerStartS).toFixed(6)];
  const pixels = video.fullRange ? 'yuvj420p' : 'yuv420p';
  // ffmpeg turns the picture before these filters; the scaler does nothing where the pixels are square already.
  const filters = [
    'settb=AVTB',
    'showinfo=checksum=0',
    `scale=${video.widthPx}:${video.heightPx}:flags=bicubic`,
    `format=${pixels}`,
  ];
  return [
    // The log level would stay as the run before, of ffprobe, has set it; times come at level info.
    ...[
      '-loglevel',
      'info',
      '-hide_banner',
      '-nostats',
      '-threads',
      String(threads),
      '-copyts',
      ...seek,
      '-i',
      input,
    ],
    ...[
      '-map',
      `0:${video.streamIndex}`,
      '-vf',
      filters.join(','),
      '-fps_mode',
      'passthrough',
      '-threads',
      '1',
    ],
    ...['-f', 'rawvideo', output],
  ];
}
