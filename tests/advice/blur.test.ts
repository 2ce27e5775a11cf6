/** What blur costs a pass: src/gait/blur.ts says how it was measured. */
import { describe, expect, it } from 'vitest';
import { takeCheck, type Finding } from '../../src/advice/takeCheck.ts';
import { findingWords } from '../../src/advice/words.ts';
import { blurredErrors, HARMLESS_BLUR_H } from '../../src/gait/blur.ts';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import { NETWORK_ERRORS } from '../../src/gait/pointErrors.ts';
import { buildTrack } from '../../src/track/build.ts';
import { lineClip, PICTURE } from '../gait/lineClips.ts';
import { average, seeds } from '../gait/support.ts';
import type { WalkOptions } from '../support/kinematic.ts';
import { CARD, causes, checked, filmed, half, narrower, part, type Checked } from './takes.ts';

const square = filmed({});

describe('blur', () => {
  /** The same walk in pictures blurred by so much, px. */
  const blurred = (blurPx: number, options: Partial<WalkOptions> = {}): Checked[] =>
    seeds(6).map((seed) =>
      checked({ ...options, seed }, 'given', {
        frames: (frames) => frames.map((frame) => ({ ...frame, blurPx })),
      }),
    );
  /** These horses are about 300 px high. */
  const heightPx = average(square.map(({ passes }) => passes[0]?.withersHeightPx ?? NaN));

  it('that harms no point is not said and widens nothing; nor is one that only the size makes', () => {
    const harmless = blurred(0.99 * HARMLESS_BLUR_H * heightPx);
    expect(harmless.flatMap(causes)).not.toContain('blurred');
    const small = blurred(1.3, { distanceM: 24 });
    expect(small.flatMap(causes)).not.toContain('blurred');
    harmless.forEach((clip, i) => {
      const [own] = square[i]?.passes ?? [];
      expect(clip.passes[0]?.measures).toEqual(own?.measures);
    });
  });

  it('is said with its size in px, and costs the more the wider it is', () => {
    const [some, more] = [blurred(0.015 * heightPx), blurred(0.025 * heightPx)];
    for (const clip of some) {
      const found = clip.findings.find(({ cause }) => cause === 'blurred');
      expect(found?.size?.value).toBeCloseTo(0.015 * heightPx, 9);
      expect(findingWords(found as Finding, CARD).seen).toMatch(/over \d+ pixels/);
    }
    for (const of of ['overtrack', 'strideLength'] as const) {
      expect(part(some, 'blurred', of)).toBeGreaterThan(0);
      expect(part(more, 'blurred', of)).toBeGreaterThan(part(some, 'blurred', of));
    }
  });

  /** What sharp toes tremble less is not in the difference: their noise is drawn the same. */
  it.each(['overtrack', 'strideLength'] as const)(
    'of %s costs what the same walk filmed sharp has less, to a third',
    (of) => {
      const name = `${of}M` as const;
      const clips = blurred(0.02 * heightPx);
      const less = average(clips.map((c) => half(c, name))) - average(square.map((c) => half(c, name)));
      console.log(
        `blurred by 2 %: ${of} ${(100 * less).toFixed(2)} cm wider, ${(100 * narrower(clips, 'blurred', of)).toFixed(2)} said`,
      );
      expect(less).toBeGreaterThan(0.001);
      expect(Math.abs(narrower(clips, 'blurred', of) / less - 1)).toBeLessThan(1 / 3);
    },
  );

  it('is that of the frames of the pass alone, the median of those that told it', () => {
    const clip = checked({ seed: 1 }, 'given', {
      frames: (frames) => frames.map((frame, i) => (i % 3 ? { ...frame, blurPx: i % 5 ? 8 : 90 } : frame)),
    });
    expect(clip.findings.find(({ cause }) => cause === 'blurred')?.size?.value).toBe(8);
  });

  it('of a way away or back is said, without a cost', { timeout: 60_000 }, () => {
    const { frames, truth } = lineClip(1);
    const track = buildTrack(frames, null, [], PICTURE);
    const pass = analyseLinePass(track, truth, null);
    const of = (blurPx: number): Finding | undefined =>
      takeCheck({ ...track, blurPx: track.timesS.map(() => blurPx) }, [pass], { withersM: 1.6 }).find(
        ({ cause }) => cause === 'blurred',
      );
    expect(of(0.6)).toBeUndefined();
    expect(of(9)).toMatchObject({ size: { value: 9 }, costs: [], refuses: false });
  });

  /** Pictures blurred by 2.26 % of H, their own blur .35: the table in src/gait/blur.ts. */
  it('adds to the errors of points about what it was measured to', () => {
    const errors = blurredErrors(NETWORK_ERRORS, Math.hypot(0.0226, 0.0035));
    const added = (name: keyof typeof errors): number =>
      Math.sqrt(errors[name] ** 2 - NETWORK_ERRORS[name] ** 2);
    // Of a stance's mean .78 % was measured, of withers the rest of 2.84 over 2.00, of polls that of 2.05 over 1.08.
    expect(Math.abs(added('toeForwardOfStance') / 0.0078 - 1)).toBeLessThan(0.25);
    expect(Math.abs(added('withersUp') / Math.sqrt(0.0284 ** 2 - 0.02 ** 2) - 1)).toBeLessThan(0.25);
    expect(Math.abs(added('pollUp') / Math.sqrt(0.0205 ** 2 - 0.0108 ** 2) - 1)).toBeLessThan(0.25);
    expect(blurredErrors(NETWORK_ERRORS, null)).toBe(NETWORK_ERRORS);
  });
});
