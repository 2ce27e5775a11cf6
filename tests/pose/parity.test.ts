/**
 * The exported network in tfjs against the trainer's in torch on ten drawn pictures. The trainer's has its weights
 * rounded to float16 as the exported one's are; what that rounding changes is said in the model card.
 */
import { readFileSync } from 'node:fs';
import { beforeAll, expect, it } from 'vitest';
import { networkOf, runNetwork, type Network } from '../../src/pose/network.ts';
import { root } from '../support/programs.ts';
import { modelFromDisk, startWasm } from './diskModel.ts';
import { drawn } from '../../src/pose/drawn.ts';

interface Parity {
  readonly inputPx: number;
  readonly pictures: readonly {
    readonly seed: number;
    /** `grid` holds every so manieth row and column of the heatmaps, channels last. */
    readonly every: number;
    readonly grid: readonly number[];
    readonly peaks: readonly number[];
    readonly view: readonly number[];
  }[];
}

const folder = `${root}/models/horse-keypoints`;
const read = (path: string): unknown => JSON.parse(readFileSync(path, 'utf8'));
const parity = read(`${root}/tests/fixtures/network-parity.json`) as Parity;
let network: Network;

beforeAll(async () => {
  await startWasm();
  network = networkOf(await modelFromDisk(`${folder}/model.json`), read(`${folder}/meta.json`));
});

const furthest = (a: ArrayLike<number>, b: ArrayLike<number>): number => {
  expect(a.length).toBe(b.length);
  return Array.from(a).reduce((most, v, i) => Math.max(most, Math.abs(v - (b[i] as number))), 0);
};

it.each(parity.pictures)('gives the trainer’s heatmaps on drawn picture $seed', async (picture) => {
  const { heatmaps, view } = await runNetwork(network, drawn(picture.seed, parity.inputPx));
  const { data, width, height, channels } = heatmaps;
  const grid: number[] = [];
  for (let y = 0; y < height; y += picture.every)
    for (let x = 0; x < width; x += picture.every)
      grid.push(...data.subarray((y * width + x) * channels, (y * width + x + 1) * channels));
  const peaks = Array.from({ length: channels }, (_, k) =>
    data.reduce((most, v, i) => (i % channels === k ? Math.max(most, v) : most), 0),
  );
  expect(Math.max(...picture.peaks)).toBeGreaterThan(0.4); // else nothing is compared
  expect(furthest(grid, picture.grid)).toBeLessThan(1e-3);
  expect(furthest(peaks, picture.peaks)).toBeLessThan(1e-3);
  expect(furthest(view ?? [], picture.view)).toBeLessThan(1e-3);
});
