/** Horses that stand: the drawn one of sample-clips, with exact points, and made-up ones before a pinhole camera. */
import { readFileSync } from 'node:fs';
import { expect } from 'vitest';
import { mirrorName, POINT_NAMES, type PointName } from '../../src/points.ts';
import type { StandPoints } from '../../src/stand/places.ts';
import type { Lengths, Stand, StandMeasure, StandMeasures, StandValue } from '../../src/stand/types.ts';
import type { Track, TrackPoint } from '../../src/track/types.ts';
import { root } from '../support/programs.ts';
import type { TruthFile } from '../truth/truth.ts';
import type { TrueStand } from '../truth/trueStand.ts';

export const truthOfStand = (): { truth: TruthFile; stand: TrueStand } => {
  const truth = JSON.parse(readFileSync(`${root}/sample-clips/standing.truth.json`, 'utf8')) as TruthFile;
  const stand = truth.passes.find((pass) => pass.kind === 'stand');
  if (!stand) throw new Error('no stand in the truth');
  return { truth, stand };
};

/** Frames as a track of a camera that stands. */
export function trackOf(
  frames: readonly { readonly timeS: number; readonly points: StandPoints }[],
  nearSide: 'left' | 'right',
  widthPx = 1280,
  heightPx = 720,
): Track {
  const series = (name: PointName): (TrackPoint | null)[] =>
    frames.map(({ points }) => {
      const p = points[name];
      return p ? { ...p, vx: 0, vy: 0, sdPx: 0.5, score: 0.9, source: 'network' } : null;
    });
  return {
    timesS: frames.map(({ timeS }) => timeS),
    points: Object.fromEntries(POINT_NAMES.map((name) => [name, series(name)])) as unknown as Track['points'],
    toStill: frames.map(() => ({ a: 1, b: 0, tx: 0, ty: 0 })),
    seenSide: frames.map(() => nearSide),
    pictureWidthPx: widthPx,
    pictureHeightPx: heightPx,
    groundSdPx: 0,
  };
}

export const drawnTrack = ({ frames }: TruthFile): Track =>
  trackOf(
    frames.map(({ timeS, points }) => ({
      timeS,
      points: Object.fromEntries(
        POINT_NAMES.flatMap((name, i) => {
          const p = points[i];
          return p ? [[name, { x: p[0], y: p[1] }]] : [];
        }),
      ),
    })),
    'left',
  );

export const mirrored = (points: StandPoints, widthPx: number): StandPoints =>
  Object.fromEntries(
    Object.entries(points).map(([name, p]) => [
      mirrorName(name as PointName),
      p && { x: widthPx - 1 - p.x, y: p.y },
    ]),
  );

/** Every measure by its path, as `fetlockToToeSlopeDeg.LH`. */
export function measuresOf({ measures, inWithersHeights }: Stand): Map<string, StandMeasure> {
  const all = new Map<string, StandMeasure>();
  const visit = (path: string, one: object): void => {
    if ('value' in one || 'reason' in one) all.set(path, one as StandMeasure);
    else for (const [key, inner] of Object.entries(one)) visit(`${path}.${key}`, inner as object);
  };
  const both: Partial<StandMeasures & Lengths<'H'>> = { ...measures, ...inWithersHeights };
  for (const [key, one] of Object.entries(both)) visit(key, one as object);
  return all;
}

export function valueOf(stand: Stand, path: string): StandValue {
  const found = measuresOf(stand).get(path);
  expect(found, path).toHaveProperty('value');
  return found as StandValue;
}

/** Every number in whatever it is given is finite. */
export function expectFinite(value: unknown, path = ''): void {
  if (typeof value === 'number') expect(Number.isFinite(value), path).toBe(true);
  else if (value !== null && typeof value === 'object')
    for (const [key, inner] of Object.entries(value)) expectFinite(inner, `${path}.${key}`);
}
