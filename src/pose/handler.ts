/** The person who leads the horse: who it is, where the feet are, and where beside the horse. Pure. */
import type { Box } from '../clip/types.ts';
import type { PointName } from '../points.ts';
import { area, best } from './boxes.ts';
import type { HorsePose, Observation } from './types.ts';

/** A person on the horse: over it, and off the ground on which it stands. */
export function isRider(person: Box, horse: Box): boolean {
  const centre = (person[0] + person[2]) / 2;
  const height = horse[3] - horse[1];
  return centre > horse[0] && centre < horse[2] && person[3] < horse[3] - 0.15 * height;
}

/** The largest person who stands near the horse, or null. */
export function handlerOf(people: readonly Box[], horse: Box): Box | null {
  const width = horse[2] - horse[0];
  const height = horse[3] - horse[1];
  const near = people.filter((p) => {
    const gap = Math.max(horse[0] - p[2], p[0] - horse[2], 0);
    const tall = (p[3] - p[1]) / height;
    const feetOff = Math.abs(p[3] - horse[3]) / height;
    return !isRider(p, horse) && gap < 0.5 * width && tall > 0.4 && tall < 2 && feetOff < 0.35;
  });
  return best(near, area) ?? null;
}

const HOOVES_AND_FETLOCKS: readonly PointName[] = [
  'left_fore_hoof',
  'right_fore_hoof',
  'left_hind_hoof',
  'right_hind_hoof',
  'left_fore_fetlock',
  'right_fore_fetlock',
  'left_hind_fetlock',
  'right_hind_fetlock',
];

/** Above this the network is sure that it sees a hoof, whoever stands beside it. */
const SURE = 0.7;
/** Share of the horse's longer side: about 15 cm around the handler's foot, which lies below the ankle. */
const FOOT_RADIUS = 0.07;
const FOOT_BELOW_ANKLE = 0.03;
const DEMOTED = 0.3;

/** Lowers the score of unsure hooves and fetlocks that lie where a foot of the handler is. */
export function withoutHandlerFeet(pose: HorsePose, feet: readonly Observation[]): HorsePose {
  if (feet.length === 0) return pose;
  const side = Math.max(pose.box[2] - pose.box[0], pose.box[3] - pose.box[1]);
  const points = { ...pose.points };
  for (const name of HOOVES_AND_FETLOCKS) {
    const point = points[name];
    if (!point || point.score >= SURE) continue;
    const onFoot = feet.some(
      (f) => Math.hypot(point.x - f.x, point.y - f.y - FOOT_BELOW_ANKLE * side) < FOOT_RADIUS * side,
    );
    if (onFoot) points[name] = { ...point, score: point.score * DEMOTED };
  }
  return { ...pose, points };
}

/** Feet seen a moment ago, moved along with the horse. */
export function carried(feet: readonly Observation[], dx: number, dy: number): Observation[] {
  return feet.map((f) => ({ ...f, x: f.x + dx, y: f.y + dy }));
}
