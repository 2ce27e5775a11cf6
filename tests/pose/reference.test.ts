/**
 * The shipped keypoint network in a second runtime, whose kernels are its own: onnxruntime (https://onnxruntime.ai)
 * gives the same points to a fortieth of a heatmap's cell.
 */
import { readFileSync } from 'node:fs';
import type { io } from '@tensorflow/tfjs-core';
import * as ort from 'onnxruntime-web';
import { beforeAll, expect, it } from 'vitest';
import { POINT_NAMES } from '../../src/points.ts';
import { wholePicture } from '../../src/pose/crop.ts';
import { networkOf, pointsOf, runNetwork, type Network, type NetworkOutput } from '../../src/pose/network.ts';
import { root } from '../support/programs.ts';
import { modelFromDisk, startWasm } from './diskModel.ts';
import { drawn } from '../../src/pose/drawn.ts';
import { onnxOf } from './onnx.ts';

const folder = `${root}/models/horse-keypoints`;
const read = (file: string): unknown => JSON.parse(readFileSync(`${folder}/${file}`, 'utf8'));
const weights = readFileSync(`${folder}/weights.bin`);
let network: Network;

beforeAll(async () => {
  ort.env.wasm.numThreads = 1; // as `useWasm` has it
  await startWasm();
  network = networkOf(await modelFromDisk(`${folder}/model.json`), read('meta.json'));
});

type Run = (input: Float32Array) => Promise<NetworkOutput>;

const inTfjs: Run = (input) => runNetwork(network, input);

async function inOnnxruntime(bytes: Uint8Array): Promise<Run> {
  const session = await ort.InferenceSession.create(onnxOf(read('model.json') as io.ModelJSON, bytes));
  const dims = [1, network.inputPx, network.inputPx, 3];
  return async (input) => {
    const { heatmaps, view } = await session.run({ image: new ort.Tensor('float32', input, dims) });
    const [, height = 0, width = 0, channels = 0] = heatmaps?.dims ?? [];
    const data = heatmaps?.data as Float32Array;
    return { heatmaps: { data, height, width, channels }, view: view?.data as Float32Array };
  };
}

/** Points (input px) and probabilities of the views in one picture, and the time that it took. */
async function seen(run: Run, input: Float32Array) {
  const fromMs = performance.now();
  const { heatmaps, view } = await run(input);
  const tookMs = performance.now() - fromMs;
  const source = { data: new Uint8Array(), widthPx: network.inputPx, heightPx: network.inputPx };
  return { points: pointsOf(heatmaps, wholePicture(source), source, network.inputPx), view, tookMs };
}
type Seen = Awaited<ReturnType<typeof seen>>;

/** How far each point in one is from the same in the other, input px. */
const apartPx = (one: Seen, other: Seen): number[] =>
  POINT_NAMES.filter((name) => one.points[name]).map((name) => {
    const [a, b] = [one.points[name], other.points[name]];
    return a && b ? Math.hypot(a.x - b.x, a.y - b.y) : Infinity;
  });

it('gives the same points to 0.1 px in twenty drawn pictures', async () => {
  const inOnnx = await inOnnxruntime(weights);
  const pairs: (readonly [ours: Seen, theirs: Seen])[] = [];
  for (let seed = 0; seed < 20; seed++) {
    const input = drawn(seed, network.inputPx);
    pairs.push([await seen(inTfjs, input), await seen(inOnnx, input)]);
  }
  const apart = pairs.flatMap(([ours, theirs]) => apartPx(ours, theirs));
  console.log(`${apart.length} points, at most ${Math.max(...apart).toFixed(5)} px apart`);
  // The least times: the first pictures wait for the engine to compile, any for the rest of the machine.
  const tfjsMs = Math.min(...pairs.map(([ours]) => ours.tookMs));
  const onnxMs = Math.min(...pairs.map(([, theirs]) => theirs.tookMs));
  const ratio = (onnxMs / tfjsMs).toFixed(2);
  console.log(
    `onnxruntime / tfjs: ${onnxMs.toFixed()} ms / ${tfjsMs.toFixed()} ms = ${ratio} (wasm, one thread)`,
  );
  expect(apart.length).toBeGreaterThan(300); // else little is compared
  expect(Math.max(...apart)).toBeLessThan(0.1);
  for (const [ours, theirs] of pairs)
    network.views.forEach((_, i) => expect(theirs.view?.[i]).toBeCloseTo(ours.view?.[i] as number, 3));
});

it('gives other points where the sign of one weight is turned', async () => {
  const turned = Uint8Array.from(weights);
  turned[1] = (weights[1] as number) ^ 0x80; // the first float16, little-endian
  const input = drawn(0, network.inputPx);
  const theirs = await seen(await inOnnxruntime(turned), input);
  expect(Math.max(...apartPx(await seen(inTfjs, input), theirs))).toBeGreaterThan(0.1);
});
