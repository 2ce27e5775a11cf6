/** The core alone on exact points of drawn walks with the noise of real ones: what of the bench's errors is the core's. */
import { describe, expect, it } from 'vitest';
import { CLIPS } from '../truth/plans.ts';
import { measureExactly } from './exact.ts';
import { figures, type Row } from './figures.ts';
import { benchSet, type BenchClip } from './set.ts';

const rowsOf = (clips: readonly BenchClip[]): ((measure: string) => Row) => {
  const rows = figures(measureExactly(clips)).filter((r) => r.group === 'all');
  return (measure) => {
    const row = rows.find((r) => r.measure === measure);
    if (!row) throw new Error(`nothing of ${measure}`);
    return row;
  };
};
const JOGS = benchSet().filter(({ jogs }) => jogs);
/** As the bars have them; not all, for the sake of time. */
const WALKS = benchSet()
  .filter(({ jogs, groups }) => !jogs && groups.includes('60 fps') && groups.includes('within 8 degrees'))
  .slice(0, 6);

describe('the core on exact points with the noise of check 34', () => {
  it('measures the overtrack of walks within a centimetre, and invents no jog', () => {
    const row = rowsOf(WALKS);
    // Bars; measured over the whole set at 60 fps: .32 cm, .62 %, .11 %, .16 % of the stride, 9 ms.
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
    const [like] = JOGS;
    if (!like) throw new Error('no such clip');
    const row = rowsOf([...JOGS, { ...like, plan: sample }]);
    expect(row('jogFound')).toMatchObject({ n: JOGS.length + 1, failed: 0 });
  });
});
