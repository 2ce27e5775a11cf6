/**
 * Corrections as a list of edits that only grows. The corrections in force, what can be undone and what can be redone
 * all follow from the list, so that they survive a reload. Pure.
 */
import type { EventCorrection, GivenPasses, GroundDistance } from '../gait/types.ts';
import type { PointCorrection } from '../track/types.ts';

export type Correction = PointCorrection | EventCorrection | GroundDistance | GivenPasses;

export type Edit =
  | { readonly do: 'set'; readonly correction: Correction }
  | { readonly do: 'remove'; readonly id: string }
  | { readonly do: 'undo' }
  | { readonly do: 'redo' };

type Change = Extract<Edit, { do: 'set' | 'remove' }>;

export interface Edited {
  /** Corrections in force, in the order in which they were made. */
  readonly corrections: readonly Correction[];
  readonly canUndo: boolean;
  readonly canRedo: boolean;
}

const SAME_TIME_S = 1e-4;

/** Two corrections of one thing: the later one replaces the other. */
export function sameTarget(a: Correction, b: Correction): boolean {
  if (a.id === b.id) return true;
  // There is one known distance to a clip, and one list of its passes.
  if (a.kind === 'distance' || a.kind === 'passes') return b.kind === a.kind;
  if (a.kind === 'point' && b.kind === 'point') {
    return a.point === b.point && Math.abs(a.timeS - b.timeS) < SAME_TIME_S;
  }
  return (
    a.kind === 'event' &&
    b.kind === 'event' &&
    a.limb === b.limb &&
    a.edge === b.edge &&
    Math.abs(a.foundS - b.foundS) < SAME_TIME_S
  );
}

/** Changes in force and changes undone, newest last. */
function stacks(edits: readonly Edit[]): { readonly done: Change[]; readonly undone: Change[] } {
  const done: Change[] = [];
  let undone: Change[] = [];
  for (const edit of edits) {
    if (edit.do === 'undo') {
      const last = done.pop();
      if (last) undone.push(last);
    } else if (edit.do === 'redo') {
      const last = undone.pop();
      if (last) done.push(last);
    } else {
      done.push(edit);
      undone = [];
    }
  }
  return { done, undone };
}

/** What a list of edits amounts to. */
export function applyEdits(edits: readonly Edit[]): Edited {
  const { done, undone } = stacks(edits);
  let corrections: Correction[] = [];
  for (const change of done) {
    if (change.do === 'set') {
      corrections = [...corrections.filter((c) => !sameTarget(c, change.correction)), change.correction];
    } else {
      corrections = corrections.filter(({ id }) => id !== change.id);
    }
  }
  return { corrections, canUndo: done.length > 0, canRedo: undone.length > 0 };
}

/** The edit to append for an undo, null when there is nothing to undo. */
export const undo = (edits: readonly Edit[]): Edit | null =>
  applyEdits(edits).canUndo ? { do: 'undo' } : null;

/** The edit to append for a redo, null when there is nothing to redo. */
export const redo = (edits: readonly Edit[]): Edit | null =>
  applyEdits(edits).canRedo ? { do: 'redo' } : null;
