/** The core alone on exact points of drawn walks with the noise of real ones: what of the bench's errors is the core's. */
import { describe, expect, it } from 'vitest';
import { measure } from '../../src/pipeline.ts';
import { CLIPS, type ClipPlan } from '../truth/plans.ts';
import type { TruePass } from '../truth/trueMeasures.ts';
import { truthOf } from '../truth/truth.ts';
import { courseSamples } from './compareCourse.ts';
import { exactSteps, measureExactly, NOTHING_HIDDEN, observedExactly } from './exact.ts';
import { figures, type Row } from './figures.ts';
import { benchSet, type BenchClip } from './set.ts';
import { triangleSet } from './triangles.ts';

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

  it('finds every pass of triangles, and measures the ways away and back', () => {
    // Both frame rates, straight and crooked; not all, for the sake of time.
    const row = rowsOf(triangleSet().slice(1, 5));
    // A border may be half a second off; measured over all twenty: 95 % within .33 s.
    expect(row('passBorders')).toMatchObject({ n: 40, failed: 0 });
    expect(row('passBorders').p95).toBeLessThan(0.5);
    expect(row('noPassInvented')).toMatchObject({ n: 20, failed: 0 });
    // Bars; measured over all twenty: .57 degrees, 1.4, .8, 1.2, 1.5, 1.4 cm, and no hoof the wrong way.
    expect(row('pathDriftDeg').rms).toBeLessThan(1);
    for (const name of ['baseWidthForeM', 'baseWidthHindM', 'hindOnForeM', 'swingOutM', 'pollAsideM'])
      expect(row(name).rms, name).toBeLessThan(2.5);
    expect(row('swingDirection').n).toBeGreaterThan(4);
    expect(row('swingDirection').reasons).not.toHaveProperty('wrongWay');
  });

  it('tells a hoof that swings the wrong way, a border that is off, a pass that is none', () => {
    const plan = CLIPS['triangle'] as ClipPlan;
    const truth = truthOf(plan, () => NOTHING_HIDDEN);
    const seen = {
      ...observedExactly(plan, truth, 1),
      motion: exactSteps(
        plan,
        truth.frames.map(({ timeS }) => timeS),
      ),
    };
    const gait = measure(seen, [], truth.withersM);
    const passes = truth.passes.slice(1).map((pass): TruePass => {
      if (pass.kind !== 'towards') return { ...pass, startS: pass.startS - 0.9 };
      const { LH, LF, RH, RF } = pass.swingOutM;
      return { ...pass, swingOutM: { LH: -LH, LF: -LF, RH: -RH, RF: -RF } };
    });
    const rows = figures(courseSamples(gait, { ...truth, passes }, []));
    const row = (name: string, group: string) => rows.find((r) => r.measure === name && r.group === group);
    // Of the two hooves that swing far out one is of the near pair.
    expect(row('swingDirection', 'towards')).toMatchObject({ n: 0, reasons: { wrongWay: 1 } });
    expect(row('passBorders', 'side')?.p95).toBeGreaterThan(0.6);
    expect(row('noPassInvented', 'away')?.reasons).toEqual({ invented: 1 });
    const without = figures(courseSamples({ ...gait, course: [] }, truth, []));
    const reasons = without.map((r) => r.reasons['noPass'] ?? r.reasons['missed'] ?? 0);
    expect(without.map(({ n, failed }) => [n, failed])).toEqual(reasons.map((n) => [0, n]));
  });
});
