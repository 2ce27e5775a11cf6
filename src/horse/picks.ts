/** Which of the horses that the user chose in a clip are one. Pure. */
import { best, overlap } from '../pose/boxes.ts';
import type { PoseFrame } from '../pose/types.ts';
import type { ClipRecord, HorsePick } from './schema.ts';

/** Overlap from which two boxes count as one object: Everingham et al. 2010, The PASCAL VOC Challenge (from memory). */
const SAME_OVERLAP = 0.5;
/** A frame this near shows the horse where it was chosen. */
const NEAR_S = 0.05;

/** Another horse of the same clip has points and corrections of its own, under a key of its own. */
export const keyOf = (clipId: string, pick: HorsePick | null): string =>
  pick ? `${clipId}@${pick.timeS.toFixed(3)}:${pick.box.map(Math.round).join()}` : clipId;

/** Whether the horse that was followed through these frames is the one in the box of the pick. */
export function isSeenIn({ box, timeS }: HorsePick, frames: readonly PoseFrame[]): boolean {
  const frame = best(frames, (one) => -Math.abs(one.timeS - timeS));
  if (!frame?.horse || Math.abs(frame.timeS - timeS) > NEAR_S) return false;
  return overlap(frame.horse.box, box) > SAME_OVERLAP;
}

/** All picks kept with a clip, the latest first. */
export const picksOf = (record: ClipRecord | null): readonly HorsePick[] =>
  record?.picks ?? (record?.pick ? [record.pick] : []);

/** The picks with this one put first. */
export function withPick(picks: readonly HorsePick[], pick: HorsePick | null): readonly HorsePick[] {
  if (!pick) return picks;
  return [pick, ...picks.filter((other) => keyOf('', other) !== keyOf('', pick))];
}
