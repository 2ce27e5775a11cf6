/** Where the camera's motion was not seen, nothing says that it stood still. */
import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import { isMeasured } from '../../src/gait/interval.ts';
import { noPassWarnings } from '../../src/gait/noPass.ts';
import { buildTrack } from '../../src/track/build.ts';
import { groundSdPx } from '../../src/track/series.ts';
import { IDENTITY } from '../../src/track/similarity.ts';
import type { MotionStep, ObservedFrame } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { PICTURE } from './synthetic.ts';

const { frames, options } = walk({ fps: 30, strides: 3, noise: 1 });
const SHIFT = { ...IDENTITY, tx: 3 };
/** Steps of which the first so many of every ten are lost; as the follower gives them. */
const steps = (lostOfTen: number, toPrevious = IDENTITY): MotionStep[] =>
  frames.map(({ timeS }, i) =>
    i > 0 && i % 10 < lostOfTen
      ? { timeS, toPrevious, inliers: 0, features: 0, ok: false }
      : { timeS, toPrevious, inliers: 50, features: 60, ok: true, sdPx: 0.2 },
  );
const passOf = (motion: readonly MotionStep[], seen: readonly ObservedFrame[] = frames) =>
  analyseTrack(buildTrack(seen, motion, [], PICTURE), { withersM: options.withersM })[0];

describe('SD of the ground', () => {
  it('is none where the camera was seen to stand', () => {
    expect(groundSdPx(steps(0))).toBe(0);
  });

  it('grows with the share that was lost, beyond one half too, moved or not', () => {
    for (const toPrevious of [SHIFT, IDENTITY]) {
      const sds = [0, 2, 4, 6, 8].map((lost) => groundSdPx(steps(lost, toPrevious)));
      sds.slice(1).forEach((sd, i) => expect(sd).toBeGreaterThan(sds[i] ?? NaN));
    }
  });
});

describe('lengths', () => {
  it('are given where the camera was seen to stand, or all but a few steps were seen', () => {
    for (const motion of [steps(0), steps(1)]) {
      const pass = passOf(motion);
      expect(pass && isMeasured(pass.measures.strideLengthM)).toBe(true);
    }
  });

  it.each([
    ['a camera that passes for a still one', steps(10)],
    ['most steps, the others seen at rest', steps(6)],
    ['more than a third', steps(4)],
  ])('are refused, with a warning, where the ground was lost: %s', (_, motion) => {
    const pass = passOf(motion);
    expect(pass?.measures.strideLengthM).toEqual({ reason: 'groundUnsure' });
    expect(pass?.measures.overtrackM).toEqual({ reason: 'groundUnsure' });
    expect(pass?.inWithersHeights.strideLengthH).toEqual({ reason: 'groundUnsure' });
    expect(pass?.overtracks.every(({ m }) => m === null)).toBe(true);
    expect(pass?.warnings).toContain('groundUnsure');
    expect(pass && isMeasured(pass.measures.strideDurationS)).toBe(true);
  });

  it('are refused for a pass in which it was lost, however long the rest of the clip was followed', () => {
    const before = Array.from({ length: 300 }, (_, i): ObservedFrame => ({ timeS: i / 30, horse: null }));
    const later = frames.map((frame) => ({ ...frame, timeS: frame.timeS + 10.5 }));
    const followed = before.map(({ timeS }): MotionStep => ({
      timeS,
      toPrevious: IDENTITY,
      inliers: 50,
      features: 60,
      ok: true,
      sdPx: 0.2,
    }));
    const lost = steps(10).map((step) => ({ ...step, timeS: step.timeS + 10.5 }));
    const pass = passOf([...followed, ...lost], [...before, ...later]);
    expect(pass?.measures.strideLengthM).toEqual({ reason: 'groundUnsure' });
  });

  it('lost: said of a clip without a pass too', () => {
    const standing = frames.map(({ timeS }) => ({ timeS, horse: frames[60]?.horse ?? null }));
    const track = buildTrack(standing, steps(10), [], PICTURE);
    expect(analyseTrack(track, { withersM: null })).toEqual([]);
    expect(noPassWarnings(track)).toEqual(['groundUnsure']);
    expect(noPassWarnings(buildTrack(standing, steps(0), [], PICTURE))).toEqual([]);
  });
});
