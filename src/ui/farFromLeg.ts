import type { Edit } from '../horse/edits.ts';
import { FETLOCK, HOOF, KNEE_OR_HOCK, LIMBS, type PointName } from '../points.ts';
import { nearestIndex } from '../track/times.ts';
import type { Track } from '../track/types.ts';
import { type ShownPoints, pointsOfTrack } from './player/geometry.ts';

/** Farther from the joint above than this many times the usual, a point lies beside its leg (our choice). */
const TOO_FAR = 1.7;
/** Every so many frames tell what is usual. */
const EVERY = 4;

/** The joint that a point hangs on; null for points that hang on none. */
function jointAbove(point: PointName): PointName | null {
  for (const limb of LIMBS) {
    if (point === HOOF[limb]) return FETLOCK[limb];
    if (point === FETLOCK[limb]) return KNEE_OR_HOCK[limb];
  }
  return null;
}

/** Whether an edit puts a hoof or fetlock much farther from the joint above it than it lies in the clip. */
export function isFarFromLeg(track: Track | null, edit: Edit): boolean {
  if (!track || edit.do !== 'set' || edit.correction.kind !== 'point') return false;
  const { point, timeS, x, y } = edit.correction;
  const joint = jointAbove(point);
  const at = joint && pointsOfTrack(track, nearestIndex(track.timesS, timeS)).get(joint);
  if (!at) return false;
  const usual = track.timesS
    .flatMap((_, frame) => (frame % EVERY === 0 ? apart(pointsOfTrack(track, frame), point, joint) : []))
    .sort((a, b) => a - b);
  const medianPx = usual[Math.floor(usual.length / 2)];
  return medianPx !== undefined && Math.hypot(x - at.x, y - at.y) > TOO_FAR * medianPx;
}

function apart(points: ShownPoints, a: PointName, b: PointName): readonly number[] {
  const [from, to] = [points.get(a), points.get(b)];
  return from && to ? [Math.hypot(from.x - to.x, from.y - to.y)] : [];
}
