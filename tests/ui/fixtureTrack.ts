/** The track of the drawn horse: its truth, moved by corrections. */
import { HOOF, POINT_NAMES, type PointName } from '../../src/points.ts';
import { nearestIndex } from '../../src/track/times.ts';
import type { PointCorrection, Track, TrackPoint } from '../../src/track/types.ts';
import { FRAMES, HEIGHT_PX, WIDTH_PX, metresPerPx, pointsAt, stanceOf, timeOfFrame } from './fixtureHorse.ts';

export const TIMES = Array.from({ length: FRAMES }, (_, frame) => timeOfFrame(frame));
const SPREAD_FRAMES = 3;
/** Frames in which a point was not found. */
export const HOLE = { point: 'right_hind_fetlock', from: 190, to: 205 } as const;

/** Stances in which a hoof of the near side is seen beside where it stands, m along the track. */
export const ASTRAY = [
  { limb: 'LF', stride: 1, byM: 0.11 },
  { limb: 'LH', stride: 3, byM: 0.12 },
  { limb: 'LH', stride: 1, byM: -0.1 },
] as const;

/** How far a hoof is seen beside its place, px: until it is set by hand once in that stance. */
function astrayPx(name: PointName, timeS: number, corrections: readonly PointCorrection[]): number {
  const one = ASTRAY.find(({ limb, stride }) => {
    const { onS, offS } = stanceOf(limb, stride);
    const isIn = (t: number): boolean => t > onS && t < offS;
    return HOOF[limb] === name && isIn(timeS) && !corrections.some((c) => c.point === name && isIn(c.timeS));
  });
  // The track's metres count to the left.
  return one ? -one.byM / metresPerPx : 0;
}

/** `astray`: with the hooves of ASTRAY beside their places. */
export function fixtureTrack(corrections: readonly PointCorrection[], astray = false): Track {
  const still = { a: 1, b: 0, tx: 0, ty: 0 };
  const truth = TIMES.map(pointsAt);
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => {
      const found = truth.map((places, frame): TrackPoint | null => {
        const at = places.get(name);
        const place = at && astray ? { ...at, x: at.x + astrayPx(name, TIMES[frame] ?? 0, corrections) } : at;
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
