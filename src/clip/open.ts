/** Looks at a file and chooses the decoder. */
import { ALL_FORMATS, BlobSource, Input, type InputVideoTrack } from 'mediabunny';
import { ClipError } from './errors.ts';
import { describe, hasSound, videoStream, type Probed, type ProbedVideo } from './ffmpeg/probe.ts';
import { loadRuntime, Running, threadsFor } from './ffmpeg/runtime.ts';
import { FfmpegSource } from './ffmpeg/source.ts';
import { editEndS, isIsobmff, readMovie } from './isobmff.ts';
import { isRiffCutShort, kindOf } from './magic.ts';
import type { FrameSource } from './source.ts';
import type { ClipInfo } from './types.ts';
import { WebCodecsSource } from './webcodecs.ts';

/** So many packets tell the mean frame rate well enough, and are read at once. */
const PACKETS_LOOKED_AT = 120;
const HEAD_BYTES = 4096;

export interface SourceOptions {
  /** The folder that scripts/assets.mjs lays out; ends with a slash. */
  readonly vendorUrl: string;
  /** Threads of the decoder that comes with the page; by default as many as pay on this machine. */
  readonly threads?: number;
}

/** @throws ClipError */
export async function openSource(file: File, options: SourceOptions): Promise<FrameSource> {
  if (file.size === 0) throw new ClipError('empty', file.name);
  const head = await headOf(file);
  const kind = kindOf(head);
  if (kind === 'text' || kind === 'picture' || kind === 'document') {
    throw new ClipError('notAVideo', file.name, NOT_A_VIDEO[kind]);
  }
  const endS = await shownEndS(file, head);
  const browser = endS === null ? null : await openInBrowser(file, endS);
  const source = browser ?? (await openInFfmpeg(file, options, kind === 'video'));
  source.faulty ||= isRiffCutShort(head, file.size);
  return source;
}

const NOT_A_VIDEO = {
  text: 'It holds text.',
  picture: 'It holds a single picture.',
  document: 'It holds a document or an archive.',
} as const;

async function headOf(file: File): Promise<Uint8Array> {
  try {
    return new Uint8Array(await file.slice(0, HEAD_BYTES).arrayBuffer());
  } catch (error) {
    throw new ClipError('unreadable', file.name, '', error);
  }
}

/** Where an edit list ends the clip; null where the list is beyond what the demuxer honours. */
async function shownEndS(file: File, head: Uint8Array): Promise<number | null> {
  if (!isIsobmff(head)) return Infinity;
  const movie = await readMovie(file);
  if (!movie) throw new ClipError('damaged', file.name);
  return editEndS(movie.edits);
}

async function openInBrowser(file: File, endS: number): Promise<WebCodecsSource | null> {
  const input = new Input({ formats: ALL_FORMATS, source: new BlobSource(file) });
  let keep = false;
  try {
    if (typeof VideoDecoder === 'undefined' || !(await input.canRead())) return null;
    const track = await input.getPrimaryVideoTrack();
    if (!track) {
      if ((await input.getAudioTracks()).length > 0) throw new ClipError('noPicture', file.name);
      return null;
    }
    if (!(await isPlain(track)) || !(await track.canDecode())) return null;
    const source = new WebCodecsSource(await infoOf(file, input, track, endS), track, endS);
    keep = await givesAPicture(source);
    return keep ? source : null;
  } catch (error) {
    if (error instanceof ClipError) throw error;
    // Not for this demuxer or decoder; the other one judges.
    return null;
  } finally {
    if (!keep) input.dispose();
  }
}

/** Square pixels, not mirrored: all that is done to the frames here is turning them. */
async function isPlain(track: InputVideoTrack): Promise<boolean> {
  const { num, den } = await track.getPixelAspectRatio();
  return num === den && !(await track.getFlip());
}

/** A browser's word that it can decode is a guess from the header: the first picture proves it. */
async function givesAPicture(source: WebCodecsSource): Promise<boolean> {
  const frames = source.frames();
  try {
    return !(await frames.next()).done;
  } catch {
    return false;
  } finally {
    await frames.return();
  }
}

async function infoOf(file: File, input: Input, track: InputVideoTrack, endS: number): Promise<ClipInfo> {
  const stats = await track.computePacketStats(PACKETS_LOOKED_AT);
  const startS = Math.max(0, await track.getFirstTimestamp());
  const trackEndS = (await track.getDurationFromMetadata()) ?? (await track.computeDuration());
  return {
    name: file.name,
    sizeBytes: file.size,
    container: (await input.getFormat()).name,
    codec: (await track.getCodecParameterString()) ?? (await track.getCodec()) ?? 'unknown',
    widthPx: await track.getDisplayWidth(),
    heightPx: await track.getDisplayHeight(),
    rotationDeg: await track.getRotation(),
    startS,
    durationS: Math.max(0, Math.min(trackEndS, endS) - startS),
    meanFps: stats.averagePacketRate,
    decoder: 'webcodecs',
  };
}

async function openInFfmpeg(file: File, options: SourceOptions, knownKind: boolean): Promise<FfmpegSource> {
  const { vendorUrl, threads = threadsFor(navigator.hardwareConcurrency) } = options;
  const runtime = await loadRuntime(vendorUrl, file, 1);
  const program = await Running.start(runtime, file);
  try {
    const { probed, log } = await program.remote.probe();
    const video = videoOf(file, probed, log, knownKind);
    const { container, codec, widthPx, heightPx, rotationDeg, startS, durationS, meanFps } = video;
    const about = { container, codec, widthPx, heightPx, rotationDeg, startS, durationS, meanFps };
    const info: ClipInfo = { name: file.name, sizeBytes: file.size, ...about, decoder: 'ffmpeg' };
    return new FfmpegSource(info, file, video, { vendorUrl, threads }, runtime, program);
  } catch (error) {
    program.end();
    throw error;
  }
}

function videoOf(file: File, probed: Probed, log: readonly string[], knownKind: boolean): ProbedVideo {
  const stream = videoStream(probed);
  if (!stream) {
    if (hasSound(probed)) throw new ClipError('noPicture', file.name);
    throw new ClipError(knownKind ? 'damaged' : 'notAVideo', file.name, '', new Error(log.join('\n')));
  }
  const video = describe(probed, stream);
  if (!video) throw new ClipError('cannotDecode', file.name, codecNote(stream.codec_name));
  if (/_pipe$|^image2/.test(video.container))
    throw new ClipError('notAVideo', file.name, NOT_A_VIDEO.picture);
  return video;
}

const codecNote = (codec = 'unknown'): string => `Its coding is “${codec}”.`;
