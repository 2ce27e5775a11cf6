/**
 * A pair of made-up legs with exact looks and right names: hooves stand for most of the stride and swing forward between.
 * Lengths in withers heights, times in s.
 */
import { describe, expect, it } from 'vitest';
import { type Assignment, judged, LEVELS, type PairFrame } from '../../src/track/legNames.ts';
import { assignLegs } from '../../src/track/legs.ts';
import type { Look } from '../../src/track/legTracker.ts';
import { withoutRelays } from '../../src/track/relay.ts';

interface Gait {
  readonly strideS: number;
  readonly strideH: number;
  readonly duty: number;
  readonly liftH: number;
}
const WALK: Gait = { strideS: 1.1, strideH: 0.9, duty: 0.62, liftH: 0.1 };
const KEPT: Assignment = [0, 1, 2, 3, 4, 5];
const EXCHANGED: Assignment = [3, 4, 5, 0, 1, 2];
const HOOF = LEVELS - 1;

interface Part {
  readonly gait: Gait;
  readonly strides: number;
}

/** Place and height of a hoof after so many strides of these parts, one after the other. */
function hoofAt(parts: readonly Part[], timeS: number, phase: number): { x: number; lift: number } {
  let [fromS, x] = [0, 0];
  for (const [n, { gait, strides }] of parts.entries()) {
    const lastsS = strides * gait.strideS;
    if (timeS < fromS + lastsS || n === parts.length - 1) {
      const done = (timeS - fromS) / gait.strideS - phase;
      const whole = Math.floor(done);
      const swing = Math.max(0, (done - whole - gait.duty) / (1 - gait.duty));
      const ahead = whole + phase + swing ** 2 * (3 - 2 * swing);
      return { x: x + gait.strideH * ahead, lift: gait.liftH * Math.sin(Math.PI * swing) };
    }
    fromS += lastsS;
    x += strides * gait.strideH;
  }
  throw new Error('no part');
}

const durationS = (parts: readonly Part[]): number =>
  parts.reduce((sum, { gait, strides }) => sum + strides * gait.strideS, 0);

/** `handS`: the hooves are put right by hand at this time. */
function looksOf(parts: readonly Part[], fps: number, handS?: number): PairFrame[] {
  return Array.from({ length: Math.floor(durationS(parts) * fps) }, (_, i) => {
    const timeS = i / fps;
    const seen = [0, 0.5].flatMap((phase, leg) =>
      Array.from({ length: LEVELS }, (_unused, k): Look => {
        const { x, lift } = hoofAt(parts, timeS, phase);
        const share = k / HOOF;
        return { x: x - 0.06 * (1 - share), y: 0.3 * k + 0.02 * leg - lift * share, sd: 0.006, score: 0.9 };
      }),
    );
    const isSet = handS !== undefined && Math.abs(timeS - handS) < 0.5 / fps;
    const set = seen.map((look, k) => (isSet && k % LEVELS === HOOF ? look : null));
    return { timeS, seen, set, nearSide: null, facing: null, slope: 0 };
  });
}

const walk = (fps: number, handS?: number): PairFrame[] => looksOf([{ gait: WALK, strides: 6 }], fps, handS);

/** As if the names had been exchanged from one moment to another, each when a leg passes its fellow. */
const mistaken = (frames: readonly PairFrame[], fromS: number, toS: number): Assignment[] =>
  frames.map(({ timeS }) => (timeS >= fromS && timeS < toS ? EXCHANGED : KEPT));

const wrong = (found: readonly Assignment[]): number =>
  found.filter((takes) => takes[HOOF] === LEVELS + HOOF || takes[LEVELS + HOOF] === HOOF).length;

/** The left leg swings past the standing right one in the middle of its swing, and the right one half a stride later. */
const passingS = (n: number): number => WALK.strideS * (WALK.duty + (1 - WALK.duty) / 2 + n / 2);

describe('names exchanged as one leg passes the other', () => {
  it.each([25, 30, 60, 120])('are put right, at %d pictures a second', (fps) => {
    const frames = walk(fps);
    const found = withoutRelays(judged(frames), mistaken(frames, passingS(1), passingS(3)));
    expect(wrong(found)).toBeLessThanOrEqual(2 * Math.ceil(0.02 * fps));
  });

  it('are put right where the clip begins with them', () => {
    const frames = walk(60);
    expect(wrong(withoutRelays(judged(frames), mistaken(frames, 0, passingS(1))))).toBeLessThanOrEqual(2);
  });

  it('are put right by a hand, and never made worse for it', () => {
    for (const handS of [passingS(0), passingS(2), passingS(4)]) {
      const frames = walk(60, handS);
      const given = mistaken(frames, passingS(1), passingS(3));
      expect(wrong(withoutRelays(judged(frames), given))).toBeLessThanOrEqual(wrong(given));
      expect(wrong(assignLegs(frames))).toBe(0);
    }
  });
});

describe('names that are right stay', () => {
  const jigs = [0.16, 0.25].flatMap((liftH) =>
    [0.44, 0.5, 0.62].map((duty): Gait => ({ strideS: 0.7, strideH: 0.04, duty, liftH })),
  );
  it.each([15, 25, 30, 60])(
    'at a walk, and before and after steps on the spot, at %d pictures a second',
    (fps) => {
      for (const jig of jigs) {
        const parts = [
          { gait: WALK, strides: 3 },
          { gait: jig, strides: 2 },
          { gait: WALK, strides: 3 },
        ];
        const frames = looksOf(parts, fps);
        const given = frames.map(() => KEPT);
        expect(withoutRelays(judged(frames), given)).toEqual(given);
      }
    },
  );

  it('at a walk with short steps', () => {
    const frames = looksOf([{ gait: { ...WALK, strideH: 0.4 }, strides: 6 }], 60);
    const given = frames.map(() => KEPT);
    expect(withoutRelays(judged(frames), given)).toEqual(given);
  });
});
