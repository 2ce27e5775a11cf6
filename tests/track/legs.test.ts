/**
 * How far the network's names of the legs are trusted. Two made-up legs go along; twice they are hidden for a moment, and
 * from there until they are hidden once more their names are exchanged. Lengths in withers heights, times in s.
 */
import { describe, expect, it } from 'vitest';
import { LEVELS, type PairFrame } from '../../src/track/legNames.ts';
import { assignLegs } from '../../src/track/legs.ts';
import type { Look } from '../../src/track/legTracker.ts';

const FPS = 60;
const SD = 0.006;
/** Between the legs wherever their names are true, and where they are hidden: what continuity has to go by. */
const USUAL = 0.2;
const EXCHANGED_FROM_S = [1, 4] as const;
const EXCHANGED_S = 0.9;

interface Legs {
  readonly speedHps: number;
  readonly hiddenS: number;
  /** Between the legs in the middle of the time in which their names are exchanged. */
  readonly apart: number;
}
type Names = 'kept' | 'exchanged';

/** Both legs as they are: of the left one knee, fetlock and hoof, then of the right one. */
function legsAt(timeS: number, { speedHps, apart }: Legs, fromS: number | undefined): Look[] {
  const share = fromS === undefined ? 0 : Math.sin((Math.PI * (timeS - fromS)) / EXCHANGED_S) ** 2;
  const half = (USUAL + (apart - USUAL) * share) / 2;
  return [half, -half].flatMap((side) =>
    Array.from({ length: LEVELS }, (_, k) => ({
      x: side + speedHps * timeS,
      y: 0.3 * k,
      sd: SD,
      score: 0.9,
    })),
  );
}

/** What becomes of the network's names in each of the two times in which they are exchanged. */
function named(legs: Legs, handS?: number): Names[] {
  const nothing = new Array<null>(2 * LEVELS).fill(null);
  const seen = Array.from({ length: 6 * FPS }, (_, i) => {
    const timeS = i / FPS;
    const fromS = EXCHANGED_FROM_S.find((s) => timeS > s && timeS < s + EXCHANGED_S);
    const edges = EXCHANGED_FROM_S.flatMap((s) => [s, s + EXCHANGED_S]);
    const hidden = edges.some((s) => Math.abs(timeS - s) < legs.hiddenS / 2);
    const truth = legsAt(timeS, legs, fromS);
    const [left, right] = [truth.slice(0, LEVELS), truth.slice(LEVELS)];
    const isSet = handS !== undefined && Math.abs(timeS - handS) < 0.5 / FPS;
    const set = truth.map((look, k) => (isSet && k === LEVELS - 1 ? { ...look, sd: 0.001, score: 1 } : null));
    const looks = hidden ? nothing : fromS === undefined ? truth : [...right, ...left];
    const frame: PairFrame = { timeS, seen: looks, set, nearSide: null, facing: null, slope: 0 };
    return { frame, isSet, fromS: hidden ? undefined : fromS };
  });
  const takes = assignLegs(seen.map(({ frame }) => frame));
  return EXCHANGED_FROM_S.map((fromS) => {
    // The left hoof takes the look that is named its own, or the right one's; where it is set by hand it takes none.
    const hooves = seen.flatMap((s, i) => (s.fromS === fromS && !s.isSet ? [takes[i]?.[LEVELS - 1]] : []));
    expect(hooves.length).toBeGreaterThan(30);
    expect(new Set(hooves).size).toBe(1);
    return hooves[0] === LEVELS - 1 ? 'kept' : 'exchanged';
  });
}

const APART = 0.35;
const TOGETHER = 0.06;

describe.each([
  [0.5, 0.12],
  [0.5, 0.15],
  [0.7, 0.1],
  [0.7, 0.12],
])('legs that go at %d heights a second and are hidden for %d s', (speedHps, hiddenS) => {
  it('keep the names that the network gives them for a while, where they stand far apart', () => {
    expect(named({ speedHps, hiddenS, apart: APART })).toEqual(['kept', 'kept']);
  });

  it('are named by the way they went before and after, where they stand close together', () => {
    expect(named({ speedHps, hiddenS, apart: TOGETHER })).toEqual(['exchanged', 'exchanged']);
  });

  it('are exchanged where a hoof set by hand within a second says so, and nowhere else', () => {
    const handS = EXCHANGED_FROM_S[0] + EXCHANGED_S / 2;
    expect(named({ speedHps, hiddenS, apart: APART }, handS)).toEqual(['exchanged', 'kept']);
  });

  it('keep their names where a hoof set by hand agrees with them', () => {
    expect(named({ speedHps, hiddenS, apart: APART }, EXCHANGED_FROM_S[0] - 0.5)).toEqual(['kept', 'kept']);
  });
});
