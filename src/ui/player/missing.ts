import { FETLOCK, HOOF, KNEE_OR_HOCK, LIMBS, POINT_NAMES, type PointName } from '../../points.ts';
import type { PoseFrame } from '../../pose/types.ts';
import { toPicture } from '../../track/turning.ts';
import type { Track, TrackPoint } from '../../track/types.ts';
import { type XY, pointsOfTrack } from './geometry.ts';

const ALWAYS: ReadonlySet<PointName> = new Set<PointName>([
  'muzzle',
  'poll',
  'withers',
  'croup',
  'tailhead',
  ...LIMBS.flatMap((limb) => [KNEE_OR_HOCK[limb], FETLOCK[limb], HOOF[limb]]),
]);

/** The points that a side view of a horse has: they can be put in where they were not found. */
export const SIDE_VIEW_POINTS: readonly PointName[] = POINT_NAMES.filter((name) => ALWAYS.has(name));

/** Where the hand is to begin with a point that was not found in a frame: picture px, within the picture. */
export function placeToBegin(track: Track, poses: readonly PoseFrame[], frame: number, name: PointName): XY {
  const at = movedAlong(track, frame, name) ?? middleOfHorse(track, poses, frame);
  const within = (px: number, size: number) => Math.min(Math.max(px, 0), size - 1);
  return { x: within(at.x, track.pictureWidthPx), y: within(at.y, track.pictureHeightPx) };
}

/** Its place in the nearest frame that has it, moved along with the withers where both frames have them. */
function movedAlong(track: Track, frame: number, name: PointName): XY | null {
  const still = track.toStill[frame];
  const from = nearestWith(track.points[name], frame);
  const point = track.points[name][from];
  if (!still || !point) return null;
  const [before, now] = [track.points.withers[from], track.points.withers[frame]];
  const [dx, dy] = before && now ? [now.x - before.x, now.y - before.y] : [0, 0];
  return toPicture(track.lens, still, { x: point.x + dx, y: point.y + dy });
}

function nearestWith(points: readonly (TrackPoint | null)[], frame: number): number {
  for (let away = 1; away < points.length; away++)
    for (const at of [frame - away, frame + away]) if (points[at]) return at;
  return -1;
}

function middleOfHorse(track: Track, poses: readonly PoseFrame[], frame: number): XY {
  const timeS = track.timesS[frame];
  const box = poses.find((pose) => pose.timeS === timeS)?.horse?.box;
  if (box) return { x: (box[0] + box[2]) / 2, y: (box[1] + box[3]) / 2 };
  const shown = [...pointsOfTrack(track, frame).values()];
  if (shown.length === 0) return { x: track.pictureWidthPx / 2, y: track.pictureHeightPx / 2 };
  const mean = (of: (at: XY) => number) => shown.reduce((sum, at) => sum + of(at), 0) / shown.length;
  return { x: mean(({ x }) => x), y: mean(({ y }) => y) };
}
