import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { applyEdits, type Correction, type Edit, redo, undo } from '../../src/horse/edits.ts';

const hoof = (id: string, x: number, timeS = 1): Correction => ({
  kind: 'point',
  id,
  timeS,
  point: 'left_fore_hoof',
  x,
  y: 5,
});
const set = (correction: Correction): Edit => ({ do: 'set', correction });

describe('edits', () => {
  it('undoes and redoes, and a new change ends what could be redone', () => {
    const edits: Edit[] = [set(hoof('a', 1)), set(hoof('b', 2, 2)), { do: 'undo' }];
    expect(applyEdits(edits)).toEqual({ corrections: [hoof('a', 1)], canUndo: true, canRedo: true });
    expect(applyEdits([...edits, { do: 'redo' }]).corrections).toEqual([hoof('a', 1), hoof('b', 2, 2)]);
    expect(applyEdits([...edits, set(hoof('c', 3, 3))]).canRedo).toBe(false);
  });

  it('keeps one correction a thing, and brings the earlier one back on undo', () => {
    const edits: Edit[] = [set(hoof('a', 1)), set(hoof('b', 9))];
    expect(applyEdits(edits).corrections).toEqual([hoof('b', 9)]);
    expect(applyEdits([...edits, { do: 'undo' }]).corrections).toEqual([hoof('a', 1)]);
    const event: Correction = { kind: 'event', id: 'e', limb: 'LF', edge: 'on', foundS: 1, timeS: 1.02 };
    const moved: Correction = { ...event, id: 'f', timeS: 1.05 };
    expect(applyEdits([set(event), set(moved)]).corrections).toEqual([moved]);
    expect(applyEdits([set(event), set({ ...moved, edge: 'off' })]).corrections).toHaveLength(2);
  });

  it('keeps one list of the passes of a clip: the newest counts, and undo brings the one before back', () => {
    const passes = (id: string, endS: number): Correction => ({
      ...{ kind: 'passes', id, timeS: 1 },
      spans: [{ kind: 'away', startS: 0, endS }],
    });
    const edits: Edit[] = [set(hoof('a', 1)), set(passes('b', 3)), set(passes('c', 4))];
    expect(applyEdits(edits).corrections).toEqual([hoof('a', 1), passes('c', 4)]);
    expect(applyEdits([...edits, { do: 'undo' }]).corrections).toEqual([hoof('a', 1), passes('b', 3)]);
    const back: Edit[] = [...edits, { do: 'undo' }, { do: 'undo' }];
    expect(applyEdits(back).corrections).toEqual([hoof('a', 1)]);
    expect(applyEdits([...back, { do: 'redo' }]).corrections).toEqual([hoof('a', 1), passes('b', 3)]);
    expect(applyEdits([...edits, { do: 'remove', id: 'c' }]).corrections).toEqual([hoof('a', 1)]);
  });

  it('takes away by id, and that can be undone', () => {
    const edits: Edit[] = [set(hoof('a', 1)), { do: 'remove', id: 'a' }];
    expect(applyEdits(edits).corrections).toEqual([]);
    expect(applyEdits([...edits, { do: 'undo' }]).corrections).toEqual([hoof('a', 1)]);
  });

  it('has nothing to undo at first', () => {
    expect(undo([])).toBeNull();
    expect(redo([set(hoof('a', 1))])).toBeNull();
    expect(undo([set(hoof('a', 1))])).toEqual({ do: 'undo' });
  });

  it('gives for undo then redo what was there before, whatever the history', () => {
    const edit: fc.Arbitrary<Edit> = fc.oneof(
      fc
        .record({ id: fc.constantFrom('a', 'b', 'c'), x: fc.nat(9), t: fc.nat(2) })
        .map(({ id, x, t }) => set(hoof(id, x, t))),
      fc.constantFrom('a', 'b').map((id): Edit => ({ do: 'remove', id })),
      fc.constant<Edit>({ do: 'undo' }),
      fc.constant<Edit>({ do: 'redo' }),
    );
    fc.assert(
      fc.property(fc.array(edit, { maxLength: 30 }), (edits) => {
        const now = applyEdits(edits);
        const back = undo(edits);
        if (back) {
          const undone = [...edits, back];
          const again = redo(undone);
          expect(again).not.toBeNull();
          if (again) expect(applyEdits([...undone, again])).toEqual({ ...now, canUndo: true });
        }
        let left = [...edits];
        for (let step = undo(left); step; step = undo(left)) left = [...left, step];
        expect(applyEdits(left).corrections).toEqual([]);
      }),
    );
  });
});
