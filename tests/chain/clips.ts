/** Real clips, changed by ffmpeg in ways that must not change what is measured; kept under tests/.cache. */
import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, renameSync } from 'node:fs';
import { ffmpegPath, root } from '../support/programs.ts';
import { sharedPath } from '../support/shared.ts';

const cache = `${root}/tests/.cache/chain-2`;

/** Of the real clips. */
const WIDTH_PX = 2208;

/**
 * A window that goes with the horse from the picture's right edge to its left one: its size, its upper edge and the
 * frame in which it gets there, before the horse begins to leave the picture. Wherever the horse is whole in the
 * original it is whole in the window.
 */
interface Pan {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly topPx: number;
  readonly frames: number;
}
export const PANS: Readonly<Record<string, Pan>> = {
  c063: { widthPx: 1760, heightPx: 990, topPx: 216, frames: 36 },
  c066: { widthPx: 1760, heightPx: 1072, topPx: 170, frames: 40 },
  c069: { widthPx: 1600, heightPx: 900, topPx: 260, frames: 48 },
  c070: { widthPx: 1600, heightPx: 900, topPx: 270, frames: 32 },
};

/**
 * A hand that pans and shakes: steadily along, with a shake of up to 12 px at some 2.3 and 3.7 Hz; at the picture's
 * edges ffmpeg holds the window back.
 */
function panned(name: string): string {
  const pan = PANS[name];
  if (!pan) throw new Error(`no window is known for ${name}`);
  const { widthPx, heightPx, topPx, frames } = pan;
  const along = `${WIDTH_PX - widthPx}*(1-n/${frames})`;
  const x = `round(${along}+8*sin(14.5*t)+4*sin(23.2*t+1))`;
  const y = `round(${topPx}+7*sin(16.3*t+2)+4*sin(22.1*t))`;
  // Whole px in luma and chroma alike need full chroma while the window moves.
  return `format=yuv444p,crop=${widthPx}:${heightPx}:'${x}':'${y}':exact=1,format=yuv420p`;
}

/** On one thread: more would give other bytes on every kind of machine. */
const x264 = (crf: number): string[] => [
  '-c:v',
  'libx264',
  '-preset',
  'veryfast',
  '-threads',
  '1',
  '-crf',
  `${crf}`,
];

export const OUT_OF_FOCUS_PX = 7;

const changes = {
  mirrored: () => ['-vf', 'hflip', ...x264(12)],
  panned: (name: string) => ['-vf', panned(name), ...x264(16)],
  '720p': () => ['-vf', 'scale=1280:720:flags=area', ...x264(18)],
  'out of focus': () => ['-vf', `gblur=sigma=${OUT_OF_FOCUS_PX}:steps=6`, ...x264(18)],
  'low quality': () => x264(34),
  'half speed': () => ['-vf', 'setpts=2*PTS', '-fps_mode', 'passthrough', ...x264(12)],
  // As most programs slow a clip down: the frame rate stays, every picture is shown twice.
  'pictures twice': () => ['-vf', 'setpts=2*PTS', '-fps_mode', 'cfr', ...x264(12)],
} satisfies Record<string, (name: string) => string[]>;
export type Change = keyof typeof changes;

export const realClip = (name: string, kind = 'mp4'): string | null =>
  sharedPath(`real-clips/${name}.${kind}`);

/** The path of a real clip after that change; null where the real clips are absent. */
export function changed(name: string, change: Change): string | null {
  const from = realClip(name);
  if (from === null) return null;
  const to = `${cache}/${name}-${change.replaceAll(' ', '-')}.mp4`;
  if (existsSync(to)) return to;
  mkdirSync(cache, { recursive: true });
  const unfinished = to.replace(/\.mp4$/, `.${process.pid}.unfinished.mp4`);
  const args = ['-v', 'error', '-nostdin', '-y', '-i', from, '-an', ...changes[change](name)];
  execFileSync(ffmpegPath(), [...args, '-pix_fmt', 'yuv420p', unfinished]);
  renameSync(unfinished, to);
  return to;
}

function drawn(name: string, args: readonly string[]): string {
  const to = `${cache}/${name}`;
  mkdirSync(cache, { recursive: true });
  if (!existsSync(to)) execFileSync(ffmpegPath(), ['-v', 'error', '-nostdin', '-y', ...args, to]);
  return to;
}
const pattern = ['-f', 'lavfi', '-i', 'testsrc2=size=320x180:rate=15:duration=1'];

/** A clip and a picture of ffmpeg's test pattern: no horse. */
export const drawnClip = (): string => drawn('pattern.mp4', [...pattern, ...x264(20), '-pix_fmt', 'yuv420p']);
export const drawnPicture = (): string => drawn('pattern.png', [...pattern, '-frames:v', '1']);
