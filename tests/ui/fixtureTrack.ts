/** The track of the drawn horse: its truth, moved by corrections. */
import { POINT_NAMES } from '../../src/points.ts';
import { nearestIndex } from '../../src/track/times.ts';
import type { PointCorrection, Track, TrackPoint } from '../../src/track/types.ts';
import { FRAMES, HEIGHT_PX, WIDTH_PX, pointsAt, timeOfFrame } from './fixtureHorse.ts';

export const TIMES = Array.from({ length: FRAMES }, (_, frame) => timeOfFrame(frame));
const SPREAD_FRAMES = 3;
/** Frames in which a point was not found. */
export const HOLE = { point: 'right_hind_fetlock', from: 190, to: 205 } as const;

export function fixtureTrack(corrections: readonly PointCorrection[]): Track {
  const still = { a: 1, b: 0, tx: 0, ty: 0 };
  const truth = TIMES.map(pointsAt);
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => {
      const found = truth.map((places, frame): TrackPoint | null => {
        const place = places.get(name);
        const hidden = name === 'right_fore_hoof' && frame % 60 > 50;
        const missed = name === HOLE.point && frame >= HOLE.from && frame < HOLE.to;
        return place && !missed
          ? {
              ...place,
              vx: 0,
              vy: 0,
              sdPx: hidden ? 6 : 2,
              score: 0.9,
              source: hidden ? 'bridged' : 'network',
            }
          : null;
      });
      return [
        name,
        corrected(
          found,
          corrections.filter((c) => c.point === name),
        ),
      ];
    }),
  ) as Record<(typeof POINT_NAMES)[number], (TrackPoint | null)[]>;
  return {
    timesS: TIMES,
    points,
    toStill: TIMES.map(() => still),
    seenSide: TIMES.map(() => 'left'),
    pictureWidthPx: WIDTH_PX,
    pictureHeightPx: HEIGHT_PX,
    groundSdPx: 0,
  };
}

function corrected(
  found: (TrackPoint | null)[],
  corrections: readonly PointCorrection[],
): (TrackPoint | null)[] {
  let points = found;
  for (const correction of corrections) {
    const at = nearestIndex(TIMES, correction.timeS);
    const from = points[at];
    const { x, y } = correction;
    if (!from) {
      points = points.with(at, { x, y, vx: 0, vy: 0, sdPx: 2, score: 1, source: 'hand' });
      continue;
    }
    const [dx, dy] = [correction.x - from.x, correction.y - from.y];
    points = points.map((point, frame) => {
      const weight = Math.exp(-0.5 * ((frame - at) / SPREAD_FRAMES) ** 2);
      if (!point || weight < 0.01) return point;
      return { ...point, x: point.x + weight * dx, y: point.y + weight * dy, source: 'hand' };
    });
  }
  return points;
}
