import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import { HOOF, LIMBS, POINT_NAMES } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import { ofOneHorse } from '../../src/track/oneHorse.ts';
import { IDENTITY } from '../../src/track/similarity.ts';
import type { ObservedFrame } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { PICTURE } from './synthetic.ts';

const CUT_S = 3;
const first = walk({ noise: 1, strides: 4, fps: 30 }).frames;
/** A pony, farther away, with strides of its own. */
const other = walk({
  noise: 1,
  strides: 4,
  fps: 30,
  withersM: 1.4,
  strideLengthM: 1.45,
  distanceM: 9,
  seed: 5,
});
const as = (identity: number, frames: readonly ObservedFrame[]): ObservedFrame[] =>
  frames.map((frame) => (frame.horse ? { ...frame, identity } : frame));
/** The first horse, from CUT_S on the other one in its place. */
const two = (numbers: readonly [number, number]): ObservedFrame[] => [
  ...as(
    numbers[0],
    first.filter(({ timeS }) => timeS < CUT_S),
  ),
  ...as(
    numbers[1],
    other.frames.filter(({ timeS }) => timeS >= CUT_S),
  ),
];
const build = (frames: readonly ObservedFrame[]) => buildTrack(frames, null, [], PICTURE);

describe('two horses in one clip', () => {
  it('never mix in one track: it is that of the one that walks farthest', () => {
    const frames = two([1, 2]);
    const track = build(frames);
    const alone = build(frames.map((f) => (f.timeS < CUT_S ? f : { timeS: f.timeS, horse: null })));
    expect(track).toEqual({ ...alone, anotherLeftOut: true });
    const at = frames.findIndex(({ timeS }) => timeS >= CUT_S);
    expect(frames.length - at).toBeGreaterThan(30);
    for (const limb of LIMBS)
      expect(track.points[HOOF[limb]].slice(0, at).filter(Boolean).length).toBeGreaterThan(0.9 * at);
    for (const name of POINT_NAMES) expect(track.points[name].slice(at).every((p) => p === null)).toBe(true);
  });

  it('never mix in one pass', () => {
    const passesOf = (frames: readonly ObservedFrame[]) => analyseTrack(build(frames), { withersM: 1.62 });
    const passes = passesOf(two([1, 2]));
    expect(passes).toHaveLength(1);
    expect(passes[0]?.endS).toBeLessThanOrEqual(CUT_S);
    expect(passes[0]?.warnings).toContain('anotherLeftOut');
    // As one horse they do: the same frames with one number reach beyond the cut.
    expect(Math.max(...passesOf(two([1, 1])).map(({ endS }) => endS))).toBeGreaterThan(CUT_S + 0.5);
  });
});

describe('the horse that counts', () => {
  const seen = (identity: number, view: string, count: number): ObservedFrame[] =>
    Array.from({ length: count }, (_, i) => ({
      timeS: i,
      horse: { box: [0, 0, 1, 1], view, points: {} },
      identity,
    }));
  const numbers = (frames: readonly ObservedFrame[]) =>
    new Set(ofOneHorse(frames).flatMap(({ horse, identity }) => (horse && identity) ?? []));

  /** The walking horse in the first frames, then others that stand beside the track, with points that tremble. */
  const walker = as(2, first.slice(0, 80));
  const standing = (identity: number, count: number): ObservedFrame[] =>
    Array.from({ length: count }, (_, i) => {
      const horse = first[40]?.horse ?? null;
      const withers = { x: 900 + 20 * Math.sin(7 * i) + (i % 12 === 5 ? 400 : 0), y: 400, score: 0.9 };
      return { timeS: 10 + i / 30, horse: horse && { ...horse, points: { withers } }, identity };
    });

  it('is the one that walks, though others that stand beside the track are seen in more frames', () => {
    expect(numbers([...walker, ...standing(1, 120), ...standing(3, 105)])).toEqual(new Set([2]));
    const track = build([...walker, ...standing(1, 120)]);
    expect(track.anotherLeftOut).toBe(true);
    expect(analyseTrack(track, { withersM: 1.62 })).toHaveLength(1);
  });

  it('is the one that walks, though a camera that turns after it moves the picture of the other', () => {
    const still = walker.map(({ horse }) => ({ ...IDENTITY, tx: horse?.points.withers?.x ?? 0 }));
    const followed = walker.map((frame): ObservedFrame => ({
      ...frame,
      horse: frame.horse && { ...frame.horse, points: { withers: { x: 0, y: 400, score: 0.9 } } },
    }));
    const stays = walker.map(({ timeS, horse }, i): ObservedFrame => ({
      timeS: timeS + 10,
      horse: horse && {
        ...horse,
        points: { withers: { x: 900 - (still[i]?.tx ?? 0), y: 400, score: 0.9 } },
      },
      identity: 1,
    }));
    const kept = ofOneHorse([...stays, ...followed], [...still, ...still]);
    expect(new Set(kept.flatMap(({ horse, identity }) => (horse && identity) ?? []))).toEqual(new Set([2]));
  });

  it('where none walks, is seen from the side in the most frames, whatever its number and the rest', () => {
    expect(numbers([...seen(1, 'left', 9), ...seen(2, 'right', 10), ...seen(3, 'away', 50)])).toEqual(
      new Set([2]),
    );
    expect(numbers([...seen(1, 'away', 9), ...seen(2, 'left', 3), ...seen(1, 'left', 4)])).toEqual(
      new Set([1]),
    );
    expect(numbers([...seen(4, 'left', 9), ...seen(5, 'left', 9)])).toEqual(new Set([4]));
  });

  it('is the only one there is, also from the front', () => {
    const frames = [...seen(1, 'towards', 5), { timeS: 5, horse: null }];
    expect(ofOneHorse(frames)).toEqual(frames);
  });
});
