/** Real clips for the tests, made by ffmpeg from its test pattern and kept under tests/.cache. */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, renameSync, statSync, writeFileSync } from 'node:fs';
import { ffmpegPath, ffprobePath, root } from './programs.ts';

const cache = `${root}/tests/.cache/clips-3`;

const ffmpeg = (args: readonly string[]): void => {
  execFileSync(ffmpegPath(), ['-v', 'error', '-nostdin', '-y', ...args], {
    stdio: ['ignore', 'inherit', 'inherit'],
  });
};

/** ffmpeg's moving test pattern as an input. */
const pattern = (sizePx: string, fps: number, durationS: number): string[] => [
  '-f',
  'lavfi',
  '-i',
  `testsrc2=size=${sizePx}:rate=${fps}:duration=${durationS}`,
];
const x264 = ['-c:v', 'libx264', '-preset', 'veryfast', '-pix_fmt', 'yuv420p'];
const withBFrames = [...x264, '-bf', '3', '-g', '24', '-x264-params', 'b-adapt=0'];
const hevc = ['-c:v', 'libx265', '-preset', 'veryfast', '-tag:v', 'hvc1', '-x265-params', 'log-level=error'];
const inHevcAsIs = [...hevc, '-fps_mode', 'passthrough', '-enc_time_base', '1/90000'];
const tagged709 = ['-colorspace', 'bt709', '-color_primaries', 'bt709', '-color_trc', 'bt709'];
const phoneSize = '640x360';

/** What each clip is made with; a function makes a clip out of another. */
const recipes = {
  'h264-bframes.mp4': (to) => ffmpeg([...pattern(phoneSize, 30, 2), ...withBFrames, to]),
  'h264-60fps.mp4': (to) => ffmpeg([...pattern('1280x720', 60, 1), ...withBFrames, to]),
  'hevc.mp4': (to) => ffmpeg([...pattern(phoneSize, 30, 2), ...hevc, to]),
  'mpeg4.avi': (to) =>
    ffmpeg([
      ...pattern(phoneSize, 25, 2),
      ...['-c:v', 'mpeg4', '-vtag', 'XVID', '-bf', '2', '-q:v', '3', to],
    ]),
  'mpeg4-plain.avi': (to) =>
    ffmpeg([
      ...pattern(phoneSize, 25, 2),
      ...['-c:v', 'mpeg4', '-vtag', 'XVID', '-g', '12', '-q:v', '3', to],
    ]),
  // Open groups of pictures, as phones write them: several key frames to seek to.
  'hevc-keys.mp4': (to) =>
    ffmpeg([...pattern(phoneSize, 30, 2), ...hevc.slice(0, -1), 'keyint=20:log-level=error', to]),
  'vp9.webm': (to) =>
    ffmpeg([
      ...pattern('324x184', 30, 2),
      ...['-vf', 'crop=321:181:0:0:exact=1'],
      ...['-c:v', 'libvpx-vp9', '-deadline', 'realtime', '-cpu-used', '8', to],
    ]),
  // As a phone writes it: the sensor's landscape picture and a display matrix that turns it.
  'rotated-90.mp4': (to) =>
    ffmpeg(['-i', clip('h264-bframes.mp4'), '-c', 'copy', '-metadata:s:v', 'rotate=90', to]),
  'rotated-180.mp4': (to) =>
    ffmpeg(['-i', clip('h264-bframes.mp4'), '-c', 'copy', '-metadata:s:v', 'rotate=180', to]),
  'rotated-270.mp4': (to) =>
    ffmpeg(['-i', clip('h264-bframes.mp4'), '-c', 'copy', '-metadata:s:v', 'rotate=270', to]),
  'rotated-hevc.mp4': (to) =>
    ffmpeg(['-i', clip('hevc.mp4'), '-c', 'copy', '-metadata:s:v', 'rotate=270', to]),
  // Phones in dim light: frames left out, and the rest not quite even.
  'variable-rate.mp4': (to) =>
    ffmpeg([
      ...pattern(phoneSize, 60, 2),
      ...[
        '-vf',
        "settb=1/90000,select='lt(mod(n*7,10),6)',setpts='PTS+400*sin(N)'",
        '-fps_mode',
        'passthrough',
      ],
      ...[...withBFrames, '-enc_time_base', '1/90000', '-video_track_timescale', '90000', to],
    ]),
  'variable-rate-hevc.mp4': (to) => ffmpeg(['-i', clip('variable-rate.mp4'), ...inHevcAsIs, to]),
  'starts-late-hevc.mp4': (to) =>
    ffmpeg(['-i', clip('hevc.mp4'), '-c', 'copy', '-output_ts_offset', '1.5', to]),
  'tagged-709.mp4': (to) => ffmpeg([...pattern(phoneSize, 30, 0.5), ...x264, ...tagged709, to]),
  'tagged-709-hevc.mp4': (to) => ffmpeg([...pattern(phoneSize, 30, 0.5), ...hevc, ...tagged709, to]),
  'hevc-long.mp4': (to) => ffmpeg([...pattern('480x270', 30, 8), ...hevc, to]),
  // A cut without re-encoding starts with an edit list that hides the frames since the key frame.
  'edit-list.mp4': (to) => ffmpeg(['-ss', '0.5', '-i', clip('h264-bframes.mp4'), '-c', 'copy', to]),
  // As a phone trims without re-encoding: everything is kept, the edit list hides both ends.
  'edit-list-end.mp4': (to) =>
    writeFileSync(
      to,
      withEdits(clip('edit-list.mp4'), (first) => [[900, first]]),
    ),
  // Two stretches of one recording.
  'two-edits.mp4': (to) =>
    writeFileSync(
      to,
      withEdits(clip('h264-bframes.mp4'), (first) => [
        [500, first],
        [500, first + 15360],
      ]),
    ),
  'starts-late.mp4': (to) =>
    ffmpeg(['-i', clip('h264-bframes.mp4'), '-c', 'copy', '-output_ts_offset', '1.5', to]),
  'full-range.mp4': (to) =>
    ffmpeg([
      ...pattern('1280x720', 30, 0.5),
      ...['-c:v', 'libx264', '-preset', 'veryfast', '-vf', 'scale=out_range=full:out_color_matrix=bt709'],
      ...['-pix_fmt', 'yuvj420p', '-color_range', 'pc', '-colorspace', 'bt709', to],
    ]),
  'mpeg-ts.ts': (to) => ffmpeg(['-i', clip('h264-bframes.mp4'), '-c', 'copy', to]),
  'wide-pixels.mp4': (to) => ffmpeg([...pattern('480x360', 30, 0.5), ...x264, '-vf', 'setsar=4/3', to]),
  'ten-bit-422.mp4': (to) =>
    ffmpeg([
      ...pattern(phoneSize, 30, 0.5),
      '-c:v',
      'libx264',
      '-preset',
      'veryfast',
      '-pix_fmt',
      'yuv422p10le',
      to,
    ]),
  'still-camera-1080p60.mp4': (to) =>
    ffmpeg([...pattern('1920x1080', 60, 5), ...x264, '-b:v', '16M', '-bf', '2', to]),
  'hevc-720p.mp4': (to) =>
    ffmpeg([
      ...pattern('1280x720', 30, 3),
      ...[
        '-c:v',
        'libx265',
        '-preset',
        'ultrafast',
        '-tag:v',
        'hvc1',
        '-x265-params',
        'keyint=30:log-level=error',
        to,
      ],
    ]),
  'audio-only.mp4': (to) => ffmpeg(['-f', 'lavfi', '-i', 'sine=duration=1', '-c:a', 'aac', to]),
  'audio-only.avi': (to) => ffmpeg(['-f', 'lavfi', '-i', 'sine=duration=1', '-c:a', 'pcm_s16le', to]),
  'empty.mp4': (to) => writeFileSync(to, ''),
  'text.mp4': (to) =>
    writeFileSync(to, 'This is a shopping list.\nOats, carrots, a new lead rope.\n'.repeat(50)),
  'photo.mp4': (to) => {
    const still = to.replace(/mp4$/, 'jpg');
    ffmpeg([...pattern(phoneSize, 1, 1), '-frames:v', '1', still]);
    renameSync(still, to);
  },
  // The index lies at the end of a file that wasn't prepared for streaming: a cut loses it.
  'noise.mp4': (to) =>
    writeFileSync(
      to,
      Uint8Array.from({ length: 20_000 }, (_, i) => (i * i * 31 + (i >> 3)) & 255),
    ),
  'no-header.avi': (to) => writeFileSync(to, share(clip('mpeg4.avi'), 0.0001)),
  'no-index.mp4': (to) => writeFileSync(to, share(clip('h264-bframes.mp4'), 0.6)),
  'cut-short.mp4': (to) => {
    const whole = to.replace(/mp4$/, 'whole.mp4');
    ffmpeg(['-i', clip('h264-bframes.mp4'), '-c', 'copy', '-movflags', '+faststart', whole]);
    writeFileSync(to, share(whole, 0.6));
  },
  // A bad spot of a memory card, within the second of three groups of pictures.
  'scratched.mp4': (to) => {
    const bytes = readFileSync(clip('h264-bframes.mp4'));
    for (let i = 0.45 * bytes.length; i < 0.5 * bytes.length; i++) bytes[Math.floor(i)] = (i * 37) & 255;
    writeFileSync(to, bytes);
  },
  'cut-short.avi': (to) => writeFileSync(to, share(clip('mpeg4.avi'), 0.6)),
  'cut-short-hevc.mp4': (to) => {
    const whole = to.replace(/mp4$/, 'whole.mp4');
    ffmpeg(['-i', clip('hevc.mp4'), '-c', 'copy', '-movflags', '+faststart', whole]);
    writeFileSync(to, share(whole, 0.6));
  },
  'cut-short.webm': (to) => writeFileSync(to, share(clip('vp9.webm'), 0.6)),
  // Noise hardly shrinks: a second of it, many times over, makes a large file in seconds.
  'large-500-mb.mp4': (to) => {
    const noise = to.replace(/mp4$/, 'noise.mp4');
    ffmpeg([
      ...pattern('1920x1080', 30, 1),
      ...['-vf', 'noise=alls=60:allf=t', '-c:v', 'libx264', '-preset', 'ultrafast', '-pix_fmt', 'yuv420p'],
      ...['-g', '15', '-b:v', '100M', '-maxrate', '100M', '-bufsize', '50M', noise],
    ]);
    const times = Math.ceil(500e6 / statSync(noise).size);
    ffmpeg(['-stream_loop', String(times), '-i', noise, '-c', 'copy', to]);
  },
  'large-500-mb.avi': (to) => {
    const noise = to.replace(/avi$/, 'noise.avi');
    ffmpeg([
      ...pattern('1280x720', 30, 1),
      ...['-vf', 'noise=alls=60:allf=t', '-c:v', 'mpeg4', '-vtag', 'XVID', '-q:v', '2', '-g', '15', noise],
    ]);
    const times = Math.ceil(500e6 / statSync(noise).size);
    ffmpeg(['-stream_loop', String(times), '-i', noise, '-c', 'copy', to]);
  },
} satisfies Record<string, (to: string) => void>;

export type ClipName = keyof typeof recipes;

function share(path: string, part: number): Uint8Array {
  const bytes = readFileSync(path);
  return bytes.subarray(0, Math.floor(bytes.length * part));
}

/**
 * A file whose index lies at its end, with another edit list: pairs of duration (ms, ffmpeg's movie timescale) and
 * media time. `edits` gets the media time of the list's first entry. Boxes as in ISO/IEC 14496-12, version 0.
 */
function withEdits(
  path: string,
  edits: (firstMediaTime: number) => readonly (readonly [number, number])[],
): Buffer {
  const bytes = readFileSync(path);
  const typeAt = bytes.indexOf('elst');
  const start = typeAt - 4;
  const end = start + bytes.readUInt32BE(start);
  const list = edits(bytes.readInt32BE(typeAt + 16));
  const box = Buffer.alloc(16 + 12 * list.length);
  box.writeUInt32BE(box.length, 0);
  box.write('elst', 4);
  box.writeUInt32BE(list.length, 12);
  list.forEach(([durationMs, mediaTime], i) => {
    box.writeUInt32BE(durationMs, 16 + 12 * i);
    box.writeInt32BE(mediaTime, 20 + 12 * i);
    box.writeUInt32BE(0x10000, 24 + 12 * i);
  });
  for (const type of ['moov', 'trak', 'edts']) {
    const at = bytes.lastIndexOf(type, typeAt) - 4;
    bytes.writeUInt32BE(bytes.readUInt32BE(at) + box.length - (end - start), at);
  }
  return Buffer.concat([bytes.subarray(0, start), box, bytes.subarray(end)]);
}

/** Path of a test clip; it is made when first asked for. */
export function clip(name: ClipName): string {
  const path = `${cache}/${name}`;
  if (existsSync(path)) return path;
  mkdirSync(cache, { recursive: true });
  const unfinished = `${cache}/unfinished-${process.pid}-${name}`;
  const recipe: (to: string) => void = recipes[name];
  recipe(unfinished);
  renameSync(unfinished, path);
  return path;
}

/** Presentation times of the frames as ffprobe tells them, in seconds; null for a frame whose time it can't tell. */
export function probedTimesS(path: string): (number | null)[] {
  const args = ['-v', 'quiet', '-select_streams', 'v:0', '-show_entries', 'frame=best_effort_timestamp_time'];
  const out = execFileSync(ffprobePath(), [...args, '-of', 'json', path], { encoding: 'utf8' });
  const { frames } = JSON.parse(out) as { frames: { best_effort_timestamp_time?: string }[] };
  return frames.map(({ best_effort_timestamp_time: time }) => (time === undefined ? null : Number(time)));
}

const decoding = (path: string, filter: string): string[] => [
  '-v',
  'quiet',
  '-i',
  path,
  '-map',
  '0:v:0',
  '-fps_mode',
  'passthrough',
  '-vf',
  filter,
];

/** SHA-256 of every frame's planes as ffmpeg decodes it, turned as displayed. */
export function frameHashes(path: string, pixelFormat = 'yuv420p'): string[] {
  const args = [...decoding(path, `format=${pixelFormat}`), '-f', 'framehash', '-hash', 'sha256', '-'];
  const out = execFileSync(ffmpegPath(), args, { encoding: 'utf8', maxBuffer: 2 ** 26 });
  return [...out.matchAll(/^0,.*\b([0-9a-f]{64})$/gm)].map(([, hash]) => hash ?? '');
}

/** Luma of the first frame as ffmpeg decodes it. */
export function firstLuma(path: string, pixelFormat = 'yuv420p', filter = 'null'): Uint8Array {
  const args = decoding(path, `${filter},format=${pixelFormat},extractplanes=y`);
  return execFileSync(ffmpegPath(), [...args, '-frames:v', '1', '-f', 'rawvideo', '-'], {
    maxBuffer: 2 ** 26,
  });
}
