/** Clips for the tests of the whole page: real ones where they are, else the drawn one. */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { ffmpegPath, root } from '../support/programs.ts';
import { sharedPath } from '../support/shared.ts';

const cache = `${root}/tests/.cache/e2e`;
const sample = `${root}/sample-clips/side-pass.mp4`;
const H264 = ['-an', '-c:v', 'libx264', '-crf', '16', '-pix_fmt', 'yuv420p'];

/** A real clip, else a part of the drawn one, of fewer frames so that the tests are quick; null where neither is. */
function clipOf(real: string, made: () => string): string | null {
  const path = sharedPath(real);
  if (path !== null) return path;
  if (existsSync(sample)) return made();
  console.log('skipped: sample-clips/side-pass.mp4 is not there either');
  return null;
}

/** Some strides of a horse from the side. */
export const wholePass = clipOf('real-clips/c070.mp4', () =>
  made('whole.mp4', ['-i', sample, '-vf', 'fps=30', '-t', '4', ...H264]),
);
/** As short as can be: not every measure can be told from it. */
export const shortPass = clipOf('real-clips/c064.mp4', () =>
  made('short.mp4', ['-ss', '1.5', '-i', sample, '-vf', 'fps=15', '-t', '0.9', ...H264]),
);

/** A clip that browsers can't decode, cut off in the middle of its pictures. */
export function brokenAvi(): string {
  const whole = sharedPath('real-clips/c067.avi') ?? madeAvi();
  const bytes = readFileSync(whole);
  mkdirSync(cache, { recursive: true });
  const broken = `${cache}/broken.avi`;
  writeFileSync(broken, bytes.subarray(0, Math.floor(bytes.length * 0.7)));
  return broken;
}

function madeAvi(): string {
  const coding = ['-vf', 'fps=15', '-t', '1.5', '-an', '-c:v', 'mpeg4', '-vtag', 'xvid', '-q:v', '3'];
  return made('made.avi', ['-i', sample, ...coding]);
}

/** The short clip twice, side by side: two horses at once, the first one larger. */
export function twoHorses(): string {
  const beside = '[0]scale=960:540,split[a][b];[b]scale=640:360,pad=960:540:160:90[c];[a][c]hstack';
  return made('two.mp4', ['-i', shortPass ?? sample, '-filter_complex', beside, '-t', '1', ...H264]);
}

function made(name: string, args: readonly string[]): string {
  mkdirSync(cache, { recursive: true });
  const file = `${cache}/${name}`;
  const done = spawnSync(ffmpegPath(), ['-v', 'error', '-y', ...args, file], { encoding: 'utf8' });
  if (done.status !== 0) throw new Error(`ffmpeg could not make ${file}: ${done.stderr}`);
  return file;
}
