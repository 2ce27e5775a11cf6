/**
 * The eight real clips by their own network's points (data of Niknejad et al. 2023, J ASABE 66:865: ridden walk, 15
 * frames a second, at most four seconds, horses entering and leaving the picture). Not truth: held against the bands
 * that others found on the same data.
 */
import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import { isMeasured } from '../../src/gait/interval.ts';
import { LIMBS } from '../../src/points.ts';
import type { Measure, SidePass } from '../../src/gait/types.ts';
import { RIDDEN_WALK } from '../oracles/walk.ts';
import { realTrack } from '../support/realTracks.ts';
import { sharedPath } from '../support/shared.ts';

const names = ['c063', 'c064', 'c065', 'c066', 'c067', 'c068', 'c069', 'c070'];
const there = sharedPath('real-clips/c063.keypoints.json') !== null;

const figure = (m: Measure, digits = 2): string =>
  isMeasured(m)
    ? `${m.value.toFixed(digits)} [${m.low.toFixed(digits)} ${m.high.toFixed(digits)}] n${m.n}${m.side[0] ?? ''}`
    : m.reason;

describe.skipIf(!there)('real clips by their own points', () => {
  const passes = new Map<string, SidePass>();
  it('are one pass to the left each, and never a number without an interval', () => {
    for (const name of names) {
      const found = analyseTrack(realTrack(name), { withersM: null });
      expect(found.map((p) => p.direction)).toEqual(['left']);
      const pass = found[0];
      if (!pass) continue;
      passes.set(name, pass);
      const m = pass.measures;
      const phases = LIMBS.map((limb) => {
        const phase = m.limbPhaseFraction[limb];
        return isMeasured(phase) ? `${limb} ${phase.value.toFixed(2)}` : `${limb} -`;
      });
      console.log(
        `${name}: SL/H ${figure(pass.inWithersHeights.strideLengthH)}, T ${figure(m.strideDurationS)} s, OT/H ${figure(pass.inWithersHeights.overtrackH)}, lag ${figure(m.lateralLagFraction)}, ${phases.join(' ')}, ${(pass.obliquityDeg ?? 0).toFixed(0)} deg`,
      );
    }
  });

  it('lie in the bands of the 145 clips where they last long enough (mean +- 2 SD)', () => {
    const within = (m: Measure, band: { mean: number; sd: number }): boolean =>
      isMeasured(m) && m.high > band.mean - 2 * band.sd && m.low < band.mean + 2 * band.sd;
    let durations = 0;
    for (const name of ['c063', 'c066', 'c067', 'c068', 'c069', 'c070']) {
      const pass = passes.get(name);
      if (!pass) throw new Error(`no pass in ${name}`);
      expect(within(pass.measures.strideDurationS, RIDDEN_WALK.strideDurationS), name).toBe(true);
      expect(within(pass.measures.lateralLagFraction, RIDDEN_WALK.lag), name).toBe(true);
      durations++;
      if (!isMeasured(pass.inWithersHeights.strideLengthH)) continue;
      expect(within(pass.inWithersHeights.strideLengthH, RIDDEN_WALK.strideLengthH), name).toBe(true);
      expect(within(pass.inWithersHeights.overtrackH, RIDDEN_WALK.overtrackH), name).toBe(true);
    }
    expect(durations).toBe(6);
  });

  it('say why where they are too short or too oblique', () => {
    const reason = (name: string): string => {
      const m = passes.get(name)?.inWithersHeights.overtrackH;
      return m && !isMeasured(m) ? m.reason : 'measured';
    };
    expect(reason('c064')).toBe('tooFewStrides');
    expect(reason('c066')).toBe('tooOblique');
  });
});
