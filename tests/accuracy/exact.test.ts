/** The core alone on exact points of drawn walks with the noise of real ones: what of the bench's errors is the core's. */
import { describe, expect, it } from 'vitest';
import { CLIPS } from '../truth/plans.ts';
import { measureExactly } from './exact.ts';
import { figures, type Row } from './figures.ts';
import { benchClip, type BenchClip } from './set.ts';

const rowsOf = (clips: readonly BenchClip[]): ((measure: string) => Row) => {
  const rows = figures(measureExactly(clips)).filter((r) => r.group === 'all');
  return (measure) => {
    const row = rows.find((r) => r.measure === measure);
    if (!row) throw new Error(`nothing of ${measure}`);
    return row;
  };
};
/** 60 pictures a second, within 6 degrees of square, no jog. */
const WALKS = [0, 2, 5, 8, 9, 13];
/** Two strides of jog among four or more of a walk. */
const JOGS = [6, 16, 26, 36];

describe('the core on exact points with the noise of check 34', () => {
  it('measures walks within a centimetre, and invents no jog', () => {
    const row = rowsOf(WALKS.map(benchClip));
    // Bars; measured over the whole set at 60 fps: .30 cm, .61 %, .13 %, .16 % of the stride, 9 ms.
    expect(row('overtrackM').n).toBe(WALKS.length);
    expect(row('overtrackM').rms).toBeLessThan(1);
    expect(row('strideLengthM').rms).toBeLessThan(1.5);
    expect(row('strideDurationS').rms).toBeLessThan(1);
    expect(row('limbPhaseFraction').rms).toBeLessThan(2);
    expect(row('hoofEvents').p95).toBeLessThan(26);
    expect(row('noJogInvented')).toMatchObject({ n: WALKS.length, failed: 0 });
  });

  it('finds every jog, though most strides are walked', () => {
    const sample = CLIPS['side-pass-jog-steps'];
    if (!sample) throw new Error('no such plan');
    const [like] = JOGS.map(benchClip);
    if (!like) throw new Error('no such clip');
    const row = rowsOf([...JOGS.map(benchClip), { ...like, plan: sample }]);
    expect(row('jogFound')).toMatchObject({ n: JOGS.length + 1, failed: 0 });
  });
});
