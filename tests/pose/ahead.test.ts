import { describe, expect, it } from 'vitest';
import { counts, type Looked, spotAhead } from '../../src/pose/ahead.ts';
import { squareAt } from '../../src/pose/follow.ts';
import type { FollowState } from '../../src/pose/followState.ts';
import { box, frames, horse, run } from './madeUp.ts';

const SPEED = 400;
/** A horse that has been followed for a while, at this frame rate; its last frame is one before `timeS`. */
const followed = (fps: number, count: number): { state: FollowState; timeS: number } => ({
  state: run(
    frames(count, fps),
    (t) => [box(1200 - SPEED * t, 300)],
    (t) => horse(1200 - SPEED * t, 300, { phase: 6 * t }),
  ).state,
  timeS: count / fps,
});
/** The state after one more frame. */
const after = (state: FollowState, timeS: number): FollowState =>
  run(
    [timeS],
    (t) => [box(1200 - SPEED * t, 300)],
    (t) => horse(1200 - SPEED * t, 300, { phase: 6 * t }),
    state,
  ).state;

describe('looking ahead', () => {
  it.each([30, 60, 120])('at %d frames a second looks where the horse will be', (fps) => {
    const { state, timeS } = followed(fps, Math.round(0.8 * fps));
    const spot = spotAhead(state, timeS, timeS + 1 / fps);
    const known = after(state, timeS);
    const there = squareAt(known, timeS + 1 / fps);
    if (!spot || !there) throw new Error('nothing to look at');
    expect(Math.hypot(spot.square.x - there.x, spot.square.y - there.y) / there.sidePx).toBeLessThan(0.01);
    expect(counts({ ...spot, pose: horse(0, 0) }, known, there)).toBe(true);
  });

  it('not where pictures are far apart, the detector is due or no horse is followed', () => {
    const slow = followed(15, 12);
    expect(spotAhead(slow.state, slow.timeS, slow.timeS + 1 / 15)).toBeNull();
    const due = followed(60, 59);
    expect(spotAhead(due.state, 59 / 60, 60 / 60)).toBeNull();
    expect(spotAhead(due.state, 58 / 60, 59 / 60)).not.toBeNull();
    const { state, timeS } = followed(60, 48);
    expect(spotAhead({ ...state, square: null }, timeS, timeS + 1 / 60)).toBeNull();
    expect(spotAhead({ ...state, fresh: true }, timeS, timeS + 1 / 60)).toBeNull();
    expect(spotAhead({ ...state, quality: 0.4 }, timeS, timeS + 1 / 60)).toBeNull();
  });

  it('does not count where the picture before says that the horse is elsewhere or faces the other way', () => {
    const { state, timeS } = followed(60, 48);
    const known = after(state, timeS);
    const square = squareAt(known, timeS + 1 / 60);
    const spot = spotAhead(state, timeS, timeS + 1 / 60);
    if (!square || !spot) throw new Error('nothing to look at');
    const looked: Looked = { ...spot, pose: horse(0, 0) };
    expect(counts(looked, known, square)).toBe(true);
    expect(counts(looked, known, { ...square, x: square.x + 0.2 * square.sidePx })).toBe(false);
    expect(counts(looked, known, { ...square, sidePx: 1.3 * square.sidePx })).toBe(false);
    expect(counts(looked, { ...known, mirrored: !known.mirrored }, square)).toBe(false);
    expect(counts(looked, { ...known, fresh: true }, square)).toBe(false);
  });
});
