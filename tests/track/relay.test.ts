/**
 * A pair of made-up legs at the walk, with exact looks: hooves stand for 62 % of the stride and swing forward between.
 * Lengths in withers heights, times in s.
 */
import { describe, expect, it } from 'vitest';
import { type Assignment, judged, LEVELS, type PairFrame } from '../../src/track/legNames.ts';
import type { Look } from '../../src/track/legTracker.ts';
import { withoutRelays } from '../../src/track/relay.ts';

const STRIDE_S = 1.1;
const DUTY = 0.62;
const KEPT: Assignment = [0, 1, 2, 3, 4, 5];
const EXCHANGED: Assignment = [3, 4, 5, 0, 1, 2];

/** Along the ground, in strides' lengths of the way: stands at whole numbers. */
function hoofAt(timeS: number, strideH: number, phase: number): number {
  const strides = timeS / STRIDE_S - phase;
  const done = Math.floor(strides);
  const swing = Math.max(0, (strides - done - DUTY) / (1 - DUTY));
  return strideH * (done + phase + swing ** 2 * (3 - 2 * swing));
}

interface Walk {
  readonly strideH?: number;
  readonly fps?: number;
  /** A hoof put right by hand at this time. */
  readonly handS?: number;
}

function walk({ strideH = 0.9, fps = 60, handS }: Walk): PairFrame[] {
  return Array.from({ length: 6 * fps }, (_, i) => {
    const timeS = i / fps;
    const seen = [0, 0.5].flatMap((phase, leg) =>
      Array.from({ length: LEVELS }, (_unused, k): Look => {
        const hoof = hoofAt(timeS, strideH, phase);
        return { x: hoof - 0.03 * (LEVELS - 1 - k), y: 0.3 * k + 0.02 * leg, sd: 0.006, score: 0.9 };
      }),
    );
    const isSet = handS !== undefined && Math.abs(timeS - handS) < 0.5 / fps;
    const set = seen.map((look, k) => (isSet && k === LEVELS - 1 ? look : null));
    return { timeS, seen, set, nearSide: null, slope: 0 };
  });
}

/** As if the names had been exchanged from one moment to another, each when a leg passes its fellow. */
const mistaken = (frames: readonly PairFrame[], fromS: number, toS: number): Assignment[] =>
  frames.map(({ timeS }) => (timeS >= fromS && timeS < toS ? EXCHANGED : KEPT));

/** The left leg swings past the standing right one in the middle of its swing, and the right one half a stride later. */
const passingS = (n: number): number => STRIDE_S * (DUTY + (1 - DUTY) / 2 + n / 2);

describe('names exchanged as one leg passes the other', () => {
  it.each([25, 30, 60, 120])('are put right, at %d pictures a second', (fps) => {
    const frames = walk({ fps });
    const found = withoutRelays(judged(frames), mistaken(frames, passingS(1), passingS(3)));
    const wrong = found.filter((takes) => takes[LEVELS - 1] !== LEVELS - 1).length;
    expect(wrong).toBeLessThanOrEqual(2 * Math.ceil(0.02 * fps));
  });

  it('are put right where the clip begins with them', () => {
    const frames = walk({});
    const found = withoutRelays(judged(frames), mistaken(frames, 0, passingS(1)));
    expect(found.filter((takes) => takes[LEVELS - 1] !== LEVELS - 1).length).toBeLessThanOrEqual(2);
  });

  it('stay as a hand has put them', () => {
    const frames = walk({ handS: passingS(2) });
    const given = mistaken(frames, passingS(1), passingS(3));
    const found = withoutRelays(judged(frames), given);
    const atHand = frames.findIndex(({ set }) => set.some((s) => s !== null));
    expect(found[atHand]).toBe(given[atHand]);
  });
});

describe('names that are right stay', () => {
  it.each([
    ['at a walk', 0.9],
    ['at a walk with short steps', 0.5],
    ['stepping on the spot', 0.02],
  ])('%s', (_, strideH) => {
    const frames = walk({ strideH });
    const given = frames.map(() => KEPT);
    expect(withoutRelays(judged(frames), given)).toEqual(given);
  });
});
