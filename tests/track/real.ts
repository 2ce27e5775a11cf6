import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { PointName } from '../../src/points.ts';
import type { ObservedFrame } from '../../src/track/types.ts';

const folder = fileURLToPath(new URL('../../../shared/real-clips/', import.meta.url));

/** Real clips lie beside the repository where they are at hand. */
export const realClips: readonly string[] = existsSync(folder)
  ? ['c063', 'c064', 'c065', 'c066', 'c067', 'c068', 'c069', 'c070'].filter((name) =>
      existsSync(`${folder}${name}.keypoints.json`),
    )
  : [];

export const realClipPath = (name: string): string => `${folder}${name}.mp4`;

/** Their hoof is its middle, their hip is left out: it is not the croup. */
export const OUR_NAMES: Readonly<Record<string, PointName>> = {
  Nostril: 'muzzle',
  Poll: 'poll',
  Withers: 'withers',
  RightKnee: 'right_fore_knee',
  RightFrontFetlock: 'right_fore_fetlock',
  RightFrontHoof: 'right_fore_hoof',
  LeftKnee: 'left_fore_knee',
  LeftFrontFetlock: 'left_fore_fetlock',
  LeftFrontHoof: 'left_fore_hoof',
  RightHock: 'right_hind_hock',
  RightHindFetlock: 'right_hind_fetlock',
  RightHindHoof: 'right_hind_hoof',
  LeftHock: 'left_hind_hock',
  LeftHindFetlock: 'left_hind_fetlock',
  LeftHindHoof: 'left_hind_hoof',
};

interface KeypointFile {
  readonly names: readonly string[];
  readonly fps: number;
  readonly frames: readonly (readonly (readonly [x: number, y: number, score: number])[])[];
}

/** Another network's points of a real clip of 2208 x 1242 px: real noise, swaps and drop-outs. */
export function realFrames(name: string): ObservedFrame[] {
  const file = JSON.parse(readFileSync(`${folder}${name}.keypoints.json`, 'utf8')) as KeypointFile;
  return file.frames.map((list, i) => {
    const points: Partial<Record<PointName, { x: number; y: number; score: number }>> = {};
    list.forEach(([x, y, score], k) => {
      const point = OUR_NAMES[file.names[k] ?? ''];
      if (point) points[point] = { x, y, score };
    });
    const sure = Object.values(points).filter((p) => p.score > 0.5);
    const [xs, ys] = [sure.map((p) => p.x), sure.map((p) => p.y)];
    const box = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)] as const;
    return { timeS: i / file.fps, horse: sure.length > 4 ? { box, view: 'left', points } : null };
  });
}
