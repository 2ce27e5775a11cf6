/** Clips for the tests of the whole page: real ones where they are, else the drawn one. */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { ffmpegPath, root } from '../support/programs.ts';
import { sharedPath } from '../support/shared.ts';

const cache = `${root}/tests/.cache/e2e`;

function firstOf(...paths: readonly (string | null)[]): string | null {
  const found = paths.find((path) => path !== null && existsSync(path)) ?? null;
  if (found === null) console.log('skipped: neither ../shared/real-clips nor sample-clips is there');
  return found;
}

const sample = `${root}/sample-clips/side-pass.mp4`;

/** Some strides of a horse from the side; null where there is none. */
export const wholePass = firstOf(sharedPath('real-clips/c070.mp4'), sample);
/** As short as can be: not every measure can be told from it. */
export const shortPass = firstOf(sharedPath('real-clips/c064.mp4'), sample);

/** A clip that browsers can't decode, cut off in the middle of its pictures. */
export function brokenAvi(): string {
  mkdirSync(cache, { recursive: true });
  const whole = sharedPath('real-clips/c067.avi') ?? madeAvi();
  const bytes = readFileSync(whole);
  const broken = `${cache}/broken.avi`;
  writeFileSync(broken, bytes.subarray(0, Math.floor(bytes.length * 0.7)));
  return broken;
}

function madeAvi(): string {
  const coding = ['-t', '1.5', '-an', '-c:v', 'mpeg4', '-vtag', 'xvid', '-q:v', '3'];
  return made('made.avi', ['-i', sample, ...coding]);
}

/** The short clip twice, side by side: two horses at once, the first one larger. */
export function twoHorses(): string {
  mkdirSync(cache, { recursive: true });
  const beside = '[0]scale=960:540,split[a][b];[b]scale=640:360,pad=960:540:160:90[c];[a][c]hstack';
  const coding = ['-t', '1', '-an', '-c:v', 'libx264', '-crf', '18', '-pix_fmt', 'yuv420p'];
  return made('two.mp4', ['-i', shortPass ?? sample, '-filter_complex', beside, ...coding]);
}

function made(name: string, args: readonly string[]): string {
  const file = `${cache}/${name}`;
  const done = spawnSync(ffmpegPath(), ['-v', 'error', '-y', ...args, file], { encoding: 'utf8' });
  if (done.status !== 0) throw new Error(`ffmpeg could not make ${file}: ${done.stderr}`);
  return file;
}
