/** The parts of a clip and the pass that is shown, as they follow from the course: no page. */
import { describe, expect, it } from 'vitest';
import type { ClipPass } from '../../src/gait/index.ts';
import { againIn, firstShownS, opening, passAt, reachesBeyond } from '../../src/ui/shownPass.ts';
import { doubtsOf } from '../../src/ui/strip/doubts.ts';
import { KIND_WORDS, kindOfKey } from '../../src/ui/strip/kinds.ts';
import { bordersOf, canSplit, partsOf, withBorder, withKind, withSplit } from '../../src/ui/strip/parts.ts';
import { COURSE } from './fixtureCourse.ts';
import { courseGait } from './fixtureGait.ts';
import { TIMES } from './fixtureTrack.ts';

describe('the parts of a clip', () => {
  const parts = partsOf(COURSE, TIMES);
  const borders = bordersOf(parts);
  const byKey = (key: string) => {
    const border = borders.find((one) => one.key === key);
    if (!border) throw new Error(key);
    return border;
  };

  it('fill its time without a hole, and what is no pass is a part of its own', () => {
    expect(parts.map(({ kind }) => kind)).toEqual(['away', 'turn', 'side', null, 'towards']);
    expect(parts[0]?.fromS).toBe(0);
    expect(parts.at(-1)?.toS).toBe(TIMES.at(-1));
    parts.slice(1).forEach((part, i) => expect(part.fromS).toBe(parts[i]?.toS));
    expect(partsOf([], TIMES)).toHaveLength(1);
  });

  it('have one border where passes meet, and two where something lies between', () => {
    expect(borders.map(({ key }) => key)).toEqual(['start 1', 'start 2', 'end 2', 'start 3']);
    expect(byKey('start 1').timeS).toBe(1);
  });

  it('move a border of both passes that meet there, and leave the others as they are', () => {
    const moved = withBorder(COURSE, byKey('start 1'), 1.2, TIMES);
    expect(moved[0]).toEqual({ kind: 'away', startS: 0, endS: TIMES[71] });
    expect(moved[1]).toEqual({ kind: 'turn', startS: TIMES[72], endS: 103 / 60 });
    expect(moved.slice(2)).toEqual(COURSE.slice(2));
    // Found passes end with the last frame before the next one: so do those set by hand.
    expect(partsOf(moved, TIMES).map(({ kind }) => kind)).toEqual(parts.map(({ kind }) => kind));
  });

  it('close up what lies between, but never make a pass shorter than a pass can be', () => {
    const { minS, maxS } = byKey('end 2');
    const closed = partsOf(withBorder(COURSE, byKey('end 2'), maxS, TIMES), TIMES);
    expect(closed.map(({ kind }) => kind)).toEqual(['away', 'turn', 'side', 'towards']);
    expect(minS).toBeCloseTo(104 / 60 + 0.6, 9);
    expect(byKey('start 1').minS).toBeCloseTo(0.6, 9);
  });

  it('become another kind, none at all, or a pass where there was none', () => {
    const kinds = (passes: readonly ClipPass[]) => passes.map(({ kind }) => kind);
    const [away, , side, none] = parts;
    if (!away || !side || !none) throw new Error('parts');
    expect(kinds(withKind(COURSE, away, 'stand', TIMES))).toEqual(['stand', 'turn', 'side', 'towards']);
    expect(withKind(COURSE, side, 'turn', TIMES)[2]).toEqual({ kind: 'turn', startS: 104 / 60, endS: 3.2 });
    expect(kinds(withKind(COURSE, side, null, TIMES))).toEqual(['away', 'turn', 'towards']);
    const filled = withKind(COURSE, none, 'turn', TIMES);
    expect(kinds(filled)).toEqual(['away', 'turn', 'side', 'turn', 'towards']);
    expect(partsOf(filled, TIMES).every(({ index }) => index !== null)).toBe(true);
  });

  it('are split where both halves are long enough', () => {
    const [away, , side] = parts;
    if (!away || !side) throw new Error('parts');
    expect(canSplit(away, 0.5)).toBe(false);
    expect(canSplit(side, 2.5)).toBe(true);
    const halves = withSplit(COURSE, side, 2.5, TIMES).slice(2, 4);
    expect(halves.map(({ kind, direction }) => [kind, direction])).toEqual([
      ['side', 'left'],
      ['side', 'left'],
    ]);
    expect([halves[0]?.endS, halves[1]?.startS]).toEqual([TIMES[149], TIMES[150]]);
  });

  it('set to a kind that most of them does not look like are doubted, and no others', () => {
    const [away, turn, side, none] = parts;
    if (!away || !turn || !side || !none) throw new Error('parts');
    const doubted = (passes: readonly ClipPass[]) =>
      doubtsOf(passes, COURSE).map(({ set, looksLike }) => [set.kind, looksLike]);
    expect(doubted(COURSE)).toEqual([]);
    expect(doubted(withKind(COURSE, side, 'away', TIMES))).toEqual([['away', 'side']]);
    expect(doubted(withKind(COURSE, away, 'side', TIMES))).toEqual([['side', 'away']]);
    expect(doubted(withKind(COURSE, turn, null, TIMES))).toEqual([]);
    // The tool sees nothing there: it has nothing to say against it.
    expect(doubted(withKind(COURSE, none, 'stand', TIMES))).toEqual([]);
    expect(doubted(withSplit(COURSE, side, 2.5, TIMES))).toEqual([]);
    const border = byKey('start 1');
    expect(doubted(withBorder(COURSE, border, 0.8, TIMES))).toEqual([]);
    const halves = withSplit(COURSE, side, 2.5, TIMES);
    expect(doubted(halves.map((one, i) => (i === 3 ? { ...one, kind: 'turn' } : one)))).toEqual([
      ['turn', 'side'],
    ]);
  });

  it('have a key for each kind, none of them another use', () => {
    const keys = Object.values(KIND_WORDS).map(({ key }) => key);
    expect(new Set(keys).size).toBe(5);
    for (const used of ['z', 'n', ' ', ',', '.']) expect(kindOfKey(used)).toBeUndefined();
    expect([kindOfKey('t'), kindOfKey('x')]).toEqual(['turn', null]);
  });
});

describe('the pass that is shown', () => {
  const { course } = courseGait([], 1.62);

  it('is one past the camera at first, whatever comes before it', () => {
    expect(opening(course)).toBe(2);
    expect(opening(course.slice(0, 2))).toBe(0);
    expect(opening([])).toBe(0);
  });

  it('follows the time into what is measured, and stays while the horse turns', () => {
    expect(passAt(course, 0, 1.4)).toBe(0);
    expect(passAt(course, 0, 2)).toBe(2);
    expect(passAt(course, 1, 1.4)).toBe(1);
    expect(passAt(course, 2, 3.3)).toBe(2);
    expect(passAt(course, -1, 4)).toBe(3);
  });

  it('is shown from where it begins, also where something is measured before that', () => {
    const [, , side] = course;
    if (side?.kind !== 'side' || !side.pass) throw new Error('no side pass');
    const wide = { ...side, pass: { ...side.pass, startS: side.startS - 1, endS: side.endS } };
    expect(firstShownS(wide)).toBe(side.startS);
    expect(reachesBeyond(wide, wide.pass)).toBe(true);
    expect(reachesBeyond(side, side.pass)).toBe(false);
    const late = { ...side, pass: { ...side.pass, startS: side.startS + 0.5 } };
    expect(firstShownS(late)).toBe(side.startS + 0.5);
    // The turn before belongs to what is measured: the pass at hand stays.
    expect(passAt(course.with(2, wide), 2, side.startS - 0.8)).toBe(2);
  });

  it('is found again after its borders or its kind have changed', () => {
    expect(againIn(course.slice(1), { course, index: 2 }, 0)).toBe(1);
    expect(againIn(course, { course, index: -1 }, 3.3)).toBe(-1);
    expect(againIn(course, { course, index: -1 }, 4)).toBe(3);
    expect(againIn(course.slice(2), { course, index: 0 }, 3)).toBe(0);
  });

  it('is the same one after a border is moved back, though it now shares more time with the other half', () => {
    const half = (startS: number, endS: number) => ({ kind: 'turn', startS, endS }) as const;
    const [split, moved] = [
      [half(0.4, 1.1), half(1.1, 4.3)],
      [half(0.4, 3), half(3, 4.3)],
    ];
    expect(againIn(split, { course: moved, index: 0 }, 0.4)).toBe(0);
    expect(againIn(split, { course: [half(0.4, 4.3)], index: 0 }, 0.4)).toBe(1);
  });
});
