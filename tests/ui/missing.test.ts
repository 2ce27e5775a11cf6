import { describe, expect, it } from 'vitest';
import { POINT_NAMES } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import { placeToBegin } from '../../src/ui/player/missing.ts';
import { FPS, HEIGHT_PX, WIDTH_PX, pointsAt } from './fixtureHorse.ts';

const MISSED = 'right_hind_fetlock';
const frames = Array.from({ length: 90 }, (_, i) => {
  const timeS = 1 + i / FPS;
  const points = Object.fromEntries(
    POINT_NAMES.flatMap((name) => {
      const at = name === MISSED ? undefined : pointsAt(timeS).get(name);
      return at ? [[name, { ...at, score: 0.9 }]] : [];
    }),
  );
  const horse = { box: [200, 150, 700, 460] as const, view: 'left' as const, points };
  return { timeS, horse, people: [], handlerFeet: [] };
});
const picture = { widthPx: WIDTH_PX, heightPx: HEIGHT_PX };

describe('a point that was never found', () => {
  it('begins at the middle of the box of the horse', () => {
    const track = buildTrack(frames, null, [], picture);
    expect(placeToBegin(track, frames, 40, MISSED)).toEqual({ x: 450, y: 305 });
  });

  it('is in the track once it is put in by hand, at that place', () => {
    const at = { x: 500, y: 420 };
    const timeS = frames[40]?.timeS ?? NaN;
    const track = buildTrack(
      frames,
      null,
      [{ kind: 'point', id: '1', point: MISSED, timeS, ...at }],
      picture,
    );
    expect(track.points[MISSED][40]).toMatchObject({ source: 'hand' });
    expect(track.points[MISSED][40]?.x).toBeCloseTo(at.x, 0);
    expect(track.points[MISSED][40]?.y).toBeCloseTo(at.y, 0);
  });
});
