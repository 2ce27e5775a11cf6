/** The labelled pictures of ../shared/horse-data (its README says who labelled what, and how). */
import { readFileSync } from 'node:fs';
import type { PointName } from '../../../src/points.ts';
import { root } from '../../support/programs.ts';
import { OUR_NAMES } from '../../track/real.ts';
import type { Label, Labels } from './errors.ts';

export interface HandPicture {
  /** From the data folder. */
  readonly path: string;
  readonly horse: string;
  /** `leaked`: held out, but the same picture was among those trained on. */
  readonly part: 'train' | 'val' | 'leaked';
  /** The first word of `away_left` and the like: the way that the training takes them. */
  readonly view: string;
  /** All words of it: a horse seen obliquely has two, either of which is right. */
  readonly views: readonly string[];
  readonly walking: boolean;
  readonly labels: Labels;
}

const read = (path: string): unknown => JSON.parse(readFileSync(path, 'utf8'));
const isWalkFrame = (path: string): boolean => path.startsWith('walk-frames/');
/** `walk-frames/frames/train-h05-c003-004.jpg` shows horse h05; of the other pictures each shows its own, but for twins. */
const horseOf = (path: string, twins: readonly string[]): string =>
  isWalkFrame(path) ? (path.split('-')[2] ?? path) : (twins[0] ?? path);

export function handPictures(folder: string): HandPicture[] {
  const imagesOf = (path: string): Record<string, { part: 'train' | 'val'; view: string; kp: Labels }> =>
    (read(path) as { images: ReturnType<typeof imagesOf> }).images;
  const images = {
    ...imagesOf(`${folder}/hand/labels.json`),
    ...imagesOf(`${root}/models/training/labels.json`),
  };
  const { twins } = read(`${root}/models/training/mended_labels.json`) as { twins: string[][] };
  return Object.entries(images).map(([path, { part, view, kp }]) => {
    const same = twins.find((paths) => paths.includes(path)) ?? [];
    const leaked = part === 'val' && same.some((other) => images[other]?.part === 'train');
    return {
      ...{ path, part: leaked ? 'leaked' : part, horse: horseOf(path, same), labels: kp },
      ...{ walking: isWalkFrame(path), view: view.split('_')[0] ?? view, views: view.split('_') },
    };
  });
}

/** A video frame cut about the horse, with another network's points, px of the source picture. */
export interface WalkFrame {
  readonly path: string;
  readonly timeS: number;
  /** Px of the source are px of the cut / scale + origin. */
  readonly origin: readonly [number, number];
  readonly scale: number;
  /** Under our names; third: its likelihood. */
  readonly points: Readonly<Partial<Record<PointName, Label>>>;
}
export interface WalkClip {
  readonly clip: string;
  readonly horse: string;
  readonly frames: readonly WalkFrame[];
}
interface WalkRow {
  readonly file: string;
  readonly horse: string;
  readonly clip: string;
  readonly frame: number;
  readonly crop: readonly [number, number, number, number];
  readonly scale: number;
  readonly keypoints: readonly Label[];
}

export const WALK_PX = 384;
const WALK_FPS = 15;

function walkFrame(row: WalkRow, names: readonly string[]): WalkFrame {
  const [x0, y0] = row.crop;
  const points = row.keypoints.flatMap(([x, y, likelihood], k): [PointName, Label][] => {
    const name = OUR_NAMES[names[k] ?? ''];
    return name ? [[name, [x / row.scale + x0, y / row.scale + y0, likelihood]]] : [];
  });
  return {
    ...{ path: `walk-frames/frames/${row.file}`, timeS: row.frame / WALK_FPS },
    ...{ origin: [x0, y0], scale: row.scale, points: Object.fromEntries(points) },
  };
}

/** All clips, frames in their order. */
export function walkClips(folder: string): WalkClip[] {
  const { names, frames } = read(`${folder}/walk-frames/labels.json`) as {
    names: string[];
    frames: WalkRow[];
  };
  const clips = new Map<string, WalkRow[]>();
  for (const row of frames) clips.set(row.clip, [...(clips.get(row.clip) ?? []), row]);
  return [...clips].map(([clip, rows]) => ({
    ...{ clip, horse: rows[0]?.horse ?? '' },
    frames: rows.sort((a, b) => a.frame - b.frame).map((row) => walkFrame(row, names)),
  }));
}
