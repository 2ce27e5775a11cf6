import { describe, expect, it } from 'vitest';
import type { Box } from '../../src/clip/types.ts';
import { pickHorse, squareAt } from '../../src/pose/follow.ts';
import { nothingFollowed, type FollowState } from '../../src/pose/followState.ts';
import type { HorsePose } from '../../src/pose/types.ts';
import { box, frames, horse, run, scaled } from './madeUp.ts';

const near = box(1100, 400);
const far = box(200, 350, 0.6);

describe('which horse', () => {
  it('takes the largest', () => {
    const { state } = run(
      [0],
      () => [far, near],
      () => horse(1100, 400),
    );
    expect(state.square?.x).toBeCloseTo(1400, 0);
  });

  it('takes the one that the user picks, though it stands and a larger one walks', () => {
    const walks = (t: number): Box => box(1300 - 150 * t, 400);
    const { state, identities } = run(
      frames(150, 30),
      (t) => [walks(t), far],
      (t, s) => (s.square && s.square.x < 800 ? scaled(200, 350, 0.6) : horse(1300 - 150 * t, 400)),
      pickHorse(nothingFollowed, far),
    );
    expect(state.square?.x).toBeCloseTo(200 + 0.6 * 300, 0);
    expect(new Set(identities)).toEqual(new Set([1]));
  });

  it('turns to a walking horse when the large one just stands there', () => {
    const x = (t: number): number => 1500 - 150 * t;
    const { state, identities } = run(
      frames(150, 30),
      (t) => [box(100, 450), box(x(t), 300, 0.7)],
      (t, s) => ((squareAt(s, t)?.x ?? 0) > 650 ? scaled(x(t), 300, 0.7, { phase: 6 * t }) : horse(100, 450)),
    );
    expect(Math.abs((state.square?.x ?? 0) - (x(149 / 30) + 0.7 * 300))).toBeLessThan(30);
    expect([...new Set(identities)]).toEqual([1, 2]);
  });

  it('stays with a horse that walks in place, as one followed by a panned camera does', () => {
    const { state } = run(
      frames(150, 30),
      (t) => [box(700, 400), box(1500 - 350 * t, 300, 0.7)],
      (t) => horse(700, 400, { phase: 6 * t }),
    );
    expect(state.square?.x).toBeCloseTo(1000, -2);
  });
});

describe('which horse it is, after it was lost', () => {
  /** The followed horse walks to the left and is hidden for a time; another one stands at the right all along. */
  const walkerX = (t: number): number => 1300 - 250 * t;
  const other = box(1450, 400, 0.7);
  const at = (state: FollowState, t: number, hidden: boolean): HorsePose =>
    (squareAt(state, t)?.x ?? 0) > walkerX(t) + 600
      ? scaled(1450, 400, 0.7, { phase: 6 * t })
      : horse(walkerX(t), 300, { phase: 6 * t, score: hidden ? 0.05 : 0.9 });
  const lostFor = (lostS: number, picked: boolean, returns = true) => {
    const hidden = (t: number): boolean => t > 1.5 && (t < 1.5 + lostS || !returns);
    const start = picked ? pickHorse(nothingFollowed, box(1300, 300)) : nothingFollowed;
    return run(
      frames(135, 30),
      (t) => [...(hidden(t) ? [] : [box(walkerX(t), 300)]), ...(t > 0.5 ? [other] : [])],
      (t, state) => at(state, t, hidden(t)),
      start,
    );
  };
  const numbers = (identities: readonly (number | null)[]): number[] => [
    ...new Set(identities.flatMap((one) => one ?? [])),
  ];

  it.each([0.2, 0.4, 0.8, 1.4])('%f s later it is known again by its place', (lostS) => {
    // Where none was picked, half a second is waited for it.
    for (const picked of lostS > 0.5 ? [true] : [true, false]) {
      const { state, identities } = lostFor(lostS, picked);
      expect(numbers(identities)).toEqual([1]);
      expect(identities.slice(-40)).not.toContain(null);
      expect(Math.abs((state.square?.x ?? 0) - (walkerX(134 / 30) + 300))).toBeLessThan(30);
    }
  });

  it('no other horse takes over where the user has picked one', () => {
    const { state, identities } = lostFor(0, true, false);
    expect(identities.slice(0, 45)).not.toContain(null);
    expect(new Set(identities.slice(47))).toEqual(new Set([null]));
    expect(state.square).toBeNull();
  });

  it('another one that takes over, where none was picked, has another number', () => {
    const { state, identities } = lostFor(0, false, false);
    expect(state.square?.x).toBeCloseTo(1450 + 0.7 * 300, -1);
    expect(numbers(identities)).toEqual([1, 2]);
    // It waits half a second for the one that it followed, and looks five times a second.
    const second = identities.indexOf(2) / 30;
    expect(second).toBeGreaterThan(2);
    expect(second).toBeLessThan(2.3);
    expect(new Set(identities.slice(identities.indexOf(2)))).toEqual(new Set([2]));
  });

  it('one that comes along where the lost one was is not it', () => {
    // Hidden at once and for good; half a second later another one, 1.6 times as large, stands in its place.
    const { identities } = run(
      frames(90, 30),
      (t) => (t < 1 ? [box(800, 400, 0.6)] : t > 1.6 ? [box(700, 250)] : []),
      (t) => (t < 1 ? scaled(800, 400, 0.6) : horse(700, 250, { score: t > 1.6 ? 0.9 : 0.05 })),
      pickHorse(nothingFollowed, box(800, 400, 0.6)),
    );
    expect(identities.slice(0, 30)).not.toContain(null);
    expect(new Set(identities.slice(31))).toEqual(new Set([null]));
  });

  it('points that jump to the horse beside it while it is out of sight are not its own', () => {
    // No detection comes between: the square still lies there.
    const { identities } = run(
      frames(45, 30),
      (t) => (t === 0 ? [box(600, 300)] : []),
      (t) => horse(t < 1 ? 600 : 1150, 300, { score: t >= 1 && t < 1.15 ? 0.05 : 0.9 }),
    );
    expect(identities.slice(0, 30)).not.toContain(null);
    expect(new Set(identities.slice(32))).toEqual(new Set([null]));
  });

  it('a picked one is not looked for where it was after three seconds', () => {
    const { identities } = run(
      frames(180, 30),
      (t) => (t < 1 || t > 4.5 ? [box(800, 300)] : []),
      (t) => horse(800, 300, { score: t < 1 || t > 4.5 ? 0.9 : 0.05 }),
      pickHorse(nothingFollowed, box(800, 300)),
    );
    expect(new Set(identities.slice(31))).toEqual(new Set([null]));
  });

  it('a second pick is another horse, also where the first was never seen well', () => {
    const first = run(
      frames(30, 30),
      () => [near, far],
      () => horse(1100, 400, { score: 0.05 }),
      pickHorse(nothingFollowed, near),
    );
    expect(numbers(first.identities)).toEqual([]);
    const second = run(
      frames(60, 30).slice(30),
      () => [near, far],
      () => scaled(200, 350, 0.6),
      pickHorse(first.state, far),
    );
    expect(numbers(second.identities)).toEqual([2]);
  });
});
