/**
 * Another horse near the place of the first one: their strides must not be taken together. Where it is seen nearer than
 * 0.14 withers heights to where the first one would be by now, and the loss is short, their places do not tell.
 */
import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import { isMeasured } from '../../src/gait/interval.ts';
import { buildTrack } from '../../src/track/build.ts';
import { walk } from '../support/kinematic.ts';

const first = walk({ noise: 1, fps: 30, strides: 4 });
const others = {
  'a pony': walk({
    noise: 1,
    fps: 30,
    strides: 4,
    seed: 5,
    withersM: 1.4,
    strideLengthM: 1.45,
    strideDurationS: 1,
    distanceM: 8,
  }),
  'one farther away': walk({
    noise: 1,
    fps: 30,
    strides: 4,
    seed: 5,
    strideLengthM: 1.6,
    strideDurationS: 1.05,
    distanceM: 10,
  }),
};

describe.each(Object.entries(others))('%s', (_, second) => {
  it.each([0, 0.1, 0.5, 0.7])('after a loss of %f s: each is a pass of its own', (lostS) => {
    const cutS = second.options.withersM < 1.5 ? 2.2 : 2;
    const frames = [
      ...first.frames.filter((f) => f.timeS < cutS),
      ...second.frames.filter((f) => f.timeS >= cutS + lostS),
    ];
    const passes = analyseTrack(buildTrack(frames, null, [], { widthPx: 1920, heightPx: 1080 }), {
      withersM: 1.62,
    });
    expect(passes).toHaveLength(2);
    [first, second].forEach((horse, i) => {
      const m = passes[i]?.measures.strideDurationS;
      if (!m || !isMeasured(m)) return;
      expect(m.low).toBeLessThan(horse.options.strideDurationS);
      expect(m.high).toBeGreaterThan(horse.options.strideDurationS);
    });
    const duration = passes[0]?.measures.strideDurationS;
    expect(duration && isMeasured(duration)).toBe(true);
  });
});
