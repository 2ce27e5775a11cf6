import type { EventCorrection } from '../gait/types.ts';
import type { PointCorrection } from '../track/types.ts';

export type Correction = PointCorrection | EventCorrection;

/** One thing done by hand: a correction set (again), or one taken back so that the found value counts. */
export type Edit =
  { readonly op: 'set'; readonly correction: Correction } | { readonly op: 'clear'; readonly id: string };

/** All that was done by hand to one clip, oldest first, and what was undone, last undone last. */
export interface EditLog {
  readonly done: readonly Edit[];
  readonly undone: readonly Edit[];
}

export const NO_EDITS: EditLog = { done: [], undone: [] };

/** What a correction is about: a later one of the same place and moment replaces an earlier one. */
function placeOf(correction: Correction): string {
  return correction.kind === 'point'
    ? `point ${correction.point} ${correction.timeS}`
    : `event ${correction.limb} ${correction.edge} ${correction.foundS}`;
}

/** The corrections that count now. */
export function correctionsOf(log: EditLog): readonly Correction[] {
  const byPlace = new Map<string, Correction>();
  for (const edit of log.done) {
    if (edit.op === 'set') byPlace.set(placeOf(edit.correction), edit.correction);
    else for (const [place, kept] of byPlace) if (kept.id === edit.id) byPlace.delete(place);
  }
  return [...byPlace.values()];
}

/** A new edit ends the chance to redo what was undone before it. */
export function withEdit(log: EditLog, edit: Edit): EditLog {
  return { done: [...log.done, edit], undone: [] };
}

export function undo(log: EditLog): EditLog {
  const last = log.done.at(-1);
  return last ? { done: log.done.slice(0, -1), undone: [...log.undone, last] } : log;
}

export function redo(log: EditLog): EditLog {
  const last = log.undone.at(-1);
  return last ? { done: [...log.done, last], undone: log.undone.slice(0, -1) } : log;
}
