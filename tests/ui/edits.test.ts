import { expect, it } from 'vitest';
import { type Correction, NO_EDITS, correctionsOf, redo, undo, withEdit } from '../../src/ui/edits.ts';

const point = (id: string, x: number, timeS = 1): Correction => ({
  kind: 'point',
  id,
  timeS,
  point: 'left_fore_hoof',
  x,
  y: 10,
});
const set = (correction: Correction) => ({ op: 'set' as const, correction });

it('keeps the last correction of a place', () => {
  const log = [point('a', 1), point('b', 2), point('c', 3, 2)].map(set).reduce(withEdit, NO_EDITS);
  expect(correctionsOf(log).map(({ id }) => id)).toEqual(['b', 'c']);
});

it('goes back to the correction before, and on again', () => {
  const log = [point('a', 1), point('b', 2)].map(set).reduce(withEdit, NO_EDITS);
  expect(correctionsOf(undo(log)).map(({ id }) => id)).toEqual(['a']);
  expect(correctionsOf(undo(undo(log)))).toEqual([]);
  expect(redo(redo(undo(undo(log))))).toEqual(log);
  expect(undo(NO_EDITS)).toBe(NO_EDITS);
  expect(redo(NO_EDITS)).toBe(NO_EDITS);
});

it('takes a correction back as an edit of its own', () => {
  const cleared = withEdit(withEdit(NO_EDITS, set(point('a', 1))), { op: 'clear', id: 'a' });
  expect(correctionsOf(cleared)).toEqual([]);
  expect(correctionsOf(undo(cleared)).map(({ id }) => id)).toEqual(['a']);
});

it('forgets what was undone once something new is done', () => {
  const log = withEdit(undo(withEdit(NO_EDITS, set(point('a', 1)))), set(point('b', 2)));
  expect(log.undone).toEqual([]);
});

it('keeps edges of stances apart by hoof, edge and the time found', () => {
  const edge = (id: string, foundS: number, timeS: number): Correction => ({
    kind: 'event',
    id,
    limb: 'LH',
    edge: 'on',
    foundS,
    timeS,
  });
  const log = [edge('a', 1, 1.02), edge('b', 2.1, 2.2), edge('c', 1, 1.05)]
    .map(set)
    .reduce(withEdit, NO_EDITS);
  expect(correctionsOf(log).map(({ id }) => id)).toEqual(['c', 'b']);
});
