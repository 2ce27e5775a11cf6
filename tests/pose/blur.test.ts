/**
 * The blur of a horse in a picture, against Gaussians that are known: on steps that are drawn by the law of a blurred edge
 * (Zhuo & Sim 2011, Pattern Recognition 44:1852), and on clips blurred by ffmpeg's gblur.
 */
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Box } from '../../src/clip/types.ts';
import { harmfulBlurH } from '../../src/gait/blur.ts';
import { seededRandom } from '../../src/gait/random.ts';
import { blurPxIn, type Luma } from '../../src/pose/blur.ts';
import { ffmpegPath, root } from '../support/programs.ts';
import { sharedPath } from '../support/shared.ts';
import type { TruthFile } from '../truth/truth.ts';

const SIZE = { widthPx: 640, heightPx: 400 };
const WHOLE: Box = [0, 0, SIZE.widthPx, SIZE.heightPx];

/** The normal law, Abramowitz & Stegun 26.2.17. */
function normal(x: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(x));
  const poly =
    t * (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  const tail = Math.exp((-x * x) / 2) * 0.3989422804 * poly;
  return x > 0 ? 1 - tail : tail;
}

/** A seeded standard normal number, by twelve even ones. */
const noiseOf = (random: () => number): number =>
  Array.from({ length: 12 }, random).reduce((a, b) => a + b, -6);

type Ramp = (px: number) => number;
const gaussian =
  (sdPx: number): Ramp =>
  (px) =>
    normal(px / sdPx);

/**
 * Upright and leaning bars 25 - 45 px wide, whose edges are `ramp` (0 to 1 across them) with all that blurs them, the
 * px among it; with noise of some SD.
 */
function bars(ramp: Ramp, noiseSd = 0): Luma {
  const random = seededRandom(7);
  const edges: { x: number; lean: number; step: number }[] = [];
  for (let x = 30, up = true; x < SIZE.widthPx; x += 25 + 20 * random(), up = !up)
    edges.push({ x, lean: 0.3 * (random() - 0.5), step: (up ? 1 : -1) * (50 + 30 * random()) });
  const y = new Uint8Array(SIZE.widthPx * SIZE.heightPx);
  for (let i = 0; i < y.length; i++) {
    const [px, row] = [i % SIZE.widthPx, Math.floor(i / SIZE.widthPx) - SIZE.heightPx / 2];
    let luma = 90;
    for (const { x, lean, step } of edges) luma += step * ramp((px - x - lean * row) / Math.hypot(1, lean));
    y[i] = Math.min(255, Math.max(0, Math.round(luma + noiseSd * noiseOf(random))));
  }
  return { ...SIZE, y };
}

/** Through ffmpeg and back: how a raw picture is written, and read again. */
function recoded({ y, widthPx, heightPx }: Luma, ...codec: string[]): Luma {
  const raw = ['-f', 'rawvideo', '-pix_fmt', 'gray', '-s', `${widthPx}x${heightPx}`];
  const run = (input: Uint8Array, ...how: string[]): Buffer =>
    execFileSync(ffmpegPath(), ['-v', 'error', ...how], { input, maxBuffer: 2 ** 28 });
  const file = run(y, ...raw, '-i', '-', '-pix_fmt', 'yuv420p', ...codec, '-f', 'matroska', '-');
  return { widthPx, heightPx, y: run(file, '-i', '-', '-vf', 'format=gray', '-f', 'rawvideo', '-') };
}

const shrunkAndBack = (picture: Luma): Luma =>
  recoded(picture, '-vf', 'scale=iw/2:ih/2:flags=area,scale=iw*2:ih*2:flags=bicubic', '-c:v', 'ffv1');

const off = (found: number | null, isPx: number): number => Math.abs((found ?? NaN) / isPx - 1);
const KNOWN = [0.7, 1, 1.5, 2, 3, 4];

describe('edges of known blur', () => {
  it.each(KNOWN)('%d px are found to 10 per cent, with noise of SD 4 to 20', (sdPx) => {
    const [plain, noisy] = [0, 4].map((noise) => blurPxIn(bars(gaussian(sdPx), noise), WHOLE));
    console.log(`blur ${sdPx}: ${plain?.toFixed(2)}, with noise ${noisy?.toFixed(2)}`);
    expect(off(plain ?? null, sdPx)).toBeLessThan(0.1);
    expect(off(noisy ?? null, sdPx)).toBeLessThan(0.2);
  });

  const codecs = [
    ['JPEG', '-c:v', 'mjpeg', '-q:v', '6'],
    ['H.264, crf 26', '-c:v', 'libx264', '-crf', '26'],
  ] as const;
  it.each(codecs)('through %s to 20 per cent', (_, ...codec) => {
    for (const sdPx of KNOWN) {
      const found = blurPxIn(recoded(bars(gaussian(sdPx), 2), ...codec), WHOLE);
      console.log(`${codec[1]} ${sdPx}: ${found?.toFixed(2)}`);
      expect(off(found, sdPx)).toBeLessThan(0.2);
    }
  });

  /** An even smear of L px has the SD L / sqrt 12, and the slope of a Gaussian of SD L / sqrt(2 pi). */
  it.each([3, 5, 9, 13])(
    'a smear along the row of %i px is like a Gaussian of .29 to .40 of it',
    (lengthPx) => {
      const found = blurPxIn(
        bars((px) => Math.min(1, Math.max(0, px / lengthPx + 0.5))),
        WHOLE,
      );
      console.log(`smear ${lengthPx}: ${found?.toFixed(2)}`);
      expect(found).toBeGreaterThan(0.95 * (lengthPx / Math.sqrt(12)));
      expect(found).toBeLessThan(1.05 * (lengthPx / Math.sqrt(2 * Math.PI)));
    },
  );

  it('a picture blown up twice is not taken for sharp', () => {
    const sharp = bars(gaussian(0.5));
    expect(blurPxIn(sharp, WHOLE)).toBeLessThan(0.6);
    expect(blurPxIn(shrunkAndBack(sharp), WHOLE)).toBeGreaterThan(0.8);
  });

  it('nothing is told of a picture without edges, of noise, of a box too small or beside the picture', () => {
    const flat: Luma = { ...SIZE, y: new Uint8Array(SIZE.widthPx * SIZE.heightPx).fill(120) };
    const random = seededRandom(3);
    expect(blurPxIn(flat, WHOLE)).toBeNull();
    expect(blurPxIn({ ...flat, y: flat.y.map((v) => v + 3 * noiseOf(random)) }, WHOLE)).toBeNull();
    const sharp = bars(gaussian(1));
    for (const box of [
      [100, 100, 110, 110],
      [700, 50, 900, 300],
      [NaN, 0, NaN, 10],
    ] as const)
      expect(blurPxIn(sharp, box)).toBeNull();
  });

  it('is the same the second time, and in a box that reaches beyond the picture', () => {
    const picture = bars(gaussian(1.3), 3);
    expect(blurPxIn(picture, WHOLE)).toBe(blurPxIn(picture, WHOLE));
    expect(off(blurPxIn(picture, [-200, -50, 900, 500]), 1.3)).toBeLessThan(0.1);
  });
});

interface Shown {
  readonly luma: Luma;
  readonly box: Box;
  readonly heightPx: number;
}

/** Luma of the picture at a time, through a filter of ffmpeg. */
function lumaAt(
  clip: string,
  timeS: number,
  size: { widthPx: number; heightPx: number },
  filter: string,
): Luma {
  const how = [
    '-v',
    'error',
    '-ss',
    String(timeS),
    '-i',
    clip,
    '-frames:v',
    '1',
    '-vf',
    `${filter},format=gray`,
  ];
  const y = execFileSync(ffmpegPath(), [...how, '-f', 'rawvideo', '-'], { maxBuffer: 2 ** 28 });
  return { y, ...size };
}

function boxOf(points: readonly (readonly number[])[]): { box: Box; heightPx: number } {
  const [xs, ys] = [points.map(([x = NaN]) => x), points.map(([, y = NaN]) => y)];
  const box: Box = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  return { box, heightPx: 0.85 * (box[3] - box[1]) };
}

/** Whole horses of a sample clip, by its truth. */
function drawn(name: string, filter = 'null'): Shown[] {
  const clip = `${root}/sample-clips/${name}`;
  const truth = JSON.parse(readFileSync(`${clip}.truth.json`, 'utf8')) as TruthFile;
  const whole = truth.frames.filter((frame) => frame.whole);
  return [0.2, 0.4, 0.6, 0.8].flatMap((share) => {
    const frame = whole[Math.floor(share * whole.length)];
    if (!frame) throw new Error(`no whole horse in ${name}`);
    const size = { widthPx: 1280, heightPx: 720 };
    return [{ luma: lumaAt(`${clip}.mp4`, frame.timeS, size, filter), ...boxOf(frame.points) }];
  });
}

/** The same of a filmed one, by the sure points that come with it. */
function filmed(folder: string, name: string): Shown[] {
  const { frames } = JSON.parse(readFileSync(`${folder}/${name}.keypoints.json`, 'utf8')) as {
    frames: [number, number, number][][];
  };
  return [0.3, 0.6].map((share) => {
    const i = Math.floor(share * frames.length);
    const size = { widthPx: 2208, heightPx: 1242 };
    const sure = frames[i]?.filter(([, , likelihood]) => likelihood > 0.6) ?? [];
    return { luma: lumaAt(`${folder}/${name}.mp4`, i / 15, size, 'null'), ...boxOf(sure) };
  });
}

const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? NaN;
const blurOf = (shown: readonly Shown[]): number =>
  median(shown.map(({ luma, box }) => blurPxIn(luma, box) ?? NaN));

describe('a sample clip', () => {
  const DRAWN = ['side-pass', 'side-pass-hurried', 'side-pass-jog-steps', 'standing', 'triangle'];
  it.each(DRAWN)('%s is sharp: its blur harms no point', (name) => {
    for (const { luma, box, heightPx } of drawn(name)) {
      const blurPx = blurPxIn(luma, box) ?? NaN;
      expect(blurPx).toBeLessThan(1);
      expect(harmfulBlurH(blurPx / heightPx)).toBe(0);
    }
  });

  it.each(['side-pass', 'side-pass-hurried'])('%s blurred by gblur is so blurred, to 20 per cent', (name) => {
    const own = blurOf(drawn(name));
    for (const sdPx of [0.7, 1, 1.5, 2, 3, 4]) {
      const found = blurOf(drawn(name, `gblur=sigma=${sdPx}:steps=6`));
      console.log(`${name} blurred by ${sdPx}: ${found.toFixed(2)}, own ${own.toFixed(2)}`);
      expect(off(found, Math.hypot(own, sdPx))).toBeLessThan(0.2);
    }
  });
});

const folder = sharedPath('real-clips');
describe.skipIf(!folder)('a filmed clip', () => {
  it.each(['c063', 'c064', 'c065', 'c066', 'c067', 'c068', 'c069', 'c070'])('%s harms no point', (name) => {
    for (const { luma, box, heightPx } of filmed(folder ?? '', name)) {
      const blurPx = blurPxIn(luma, box) ?? NaN;
      console.log(`${name}: ${blurPx.toFixed(2)} px of ${heightPx.toFixed(0)}`);
      expect(harmfulBlurH(blurPx / heightPx)).toBe(0);
    }
  });
});
