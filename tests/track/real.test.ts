import { describe, expect, it } from 'vitest';
import { HOOF, LIMBS } from '../../src/points.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame, Track } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { realClips, realFrames } from './real.ts';
import { PICTURE, swapLegs } from './synthetic.ts';

/** These horses walk to the left: steps of a hoof to the right by more than a share of the horse's size are errors. */
const BACK_H = 0.08;
const size = (frames: readonly ObservedFrame[]): number => {
  const heights = frames.flatMap(({ horse }) => {
    const [w, h] = [horse?.points.withers, horse?.points.left_fore_hoof];
    return w && h && w.score > 0.6 && h.score > 0.6 ? [h.y - w.y] : [];
  });
  return heights.sort((a, b) => a - b)[heights.length >> 1] ?? NaN;
};

function backwards(xs: readonly (number | null)[], h: number): { steps: number; looks: number } {
  const seen = xs.filter((x) => x !== null);
  const steps = seen.slice(1).filter((x, i) => x - (seen[i] ?? x) > BACK_H * h).length;
  return { steps, looks: seen.length };
}

describe.skipIf(realClips.length === 0)(
  'real keypoints (skipped where ../shared/real-clips is absent)',
  () => {
    it('whose hooves jumped back and forth go one way afterwards, and few are lost', () => {
      let [before, after, looks, kept] = [0, 0, 0, 0];
      for (const clip of realClips) {
        const frames = realFrames(clip);
        const h = size(frames);
        const track = buildTrack(frames, null, [], { widthPx: 2208, heightPx: 1242 });
        expect(track.seenSide.every((side) => side === 'left')).toBe(true);
        for (const limb of LIMBS) {
          const raw = frames.map(({ horse }) => {
            const p = horse?.points[HOOF[limb]];
            return p && p.score > 0.15 ? p.x : null;
          });
          const [a, b] = [
            backwards(raw, h),
            backwards(
              track.points[HOOF[limb]].map((p) => p?.x ?? null),
              h,
            ),
          ];
          before += a.steps;
          after += b.steps;
          looks += a.looks;
          kept += b.looks;
        }
      }
      expect(before).toBeGreaterThan(20);
      expect(after).toBeLessThanOrEqual(0.1 * before);
      expect(kept / looks).toBeGreaterThan(0.96);
    });
  },
);

describe('a track with a quarter of its leg names wrong', () => {
  it.each([30, 60])('gives the gait core what the undisturbed one gives, at %i frames a second', (fps) => {
    const clean = walk({ fps, strides: 4, seed: 2, noise: 1, dropOut: 0.06 });
    const { frames } = swapLegs(clean.frames, 2, 0.25, 0.25);
    const measures = (track: Track) => analyseTrack(track, { withersM: 1.62 })[0]?.measures;
    const [truth, built] = [measures(clean.track), measures(buildTrack(frames, null, [], PICTURE))];
    for (const [name, tolerance] of [
      ['strideLengthM', 0.01],
      ['strideDurationS', 0.004],
      ['overtrackM', 0.01],
      ['dutyFactorFore', 0.01],
      ['dutyFactorHind', 0.01],
      ['lateralLagFraction', 0.006],
    ] as const) {
      const [a, b] = [truth?.[name], built?.[name]];
      if (!a || !b || !('value' in a) || !('value' in b)) throw new Error(`${name} was not measured`);
      expect(Math.abs(a.value - b.value)).toBeLessThan(tolerance);
    }
  });
});
