import { describe, expect, it } from 'vitest';
import type { Limb } from '../../src/points.ts';
import { phaseDifference } from '../../src/gait/circular.ts';
import type { SidePass } from '../../src/gait/types.ts';
import * as oracle from '../oracles/walk.ts';
import { analysed, value } from './support.ts';

describe('identities of a walk, on exact tracks', () => {
  it('stride length = speed x duration, within 1 %', () => {
    for (const [strideLengthM, strideDurationS] of [
      [1.5, 1.25],
      [1.75, 1.1],
      [1.9, 1.05],
    ] as const) {
      const m = analysed({ strideLengthM, strideDurationS }).pass.measures;
      const product = value(m.speedMps).value * value(m.strideDurationS).value;
      expect(value(m.strideLengthM).value / product).toBeGreaterThan(0.99);
      expect(value(m.strideLengthM).value / product).toBeLessThan(1.01);
    }
  });

  it('overtrack = (1 - lag) SL - C: 1.80 m, 0.25, 1.20 m give 0.150 m', () => {
    const { strideLengthM, lag, landingDistanceM, overtrackM } = oracle.OVERTRACK_IDENTITY;
    expect((1 - lag) * strideLengthM - landingDistanceM).toBeCloseTo(overtrackM, 9);
    const m = analysed({ strideLengthM, lag, overtrackM }).pass.measures;
    expect(value(m.overtrackM).value).toBeCloseTo(overtrackM, 2);
    const landing =
      (1 - value(m.lateralLagFraction).value) * value(m.strideLengthM).value - value(m.overtrackM).value;
    expect(Math.abs(landing - landingDistanceM)).toBeLessThan(0.01 * strideLengthM);
  });

  it.each(['left', 'right'] as const)('four beats, LH LF RH RF, seen from the %s', (direction) => {
    const phases = analysed({ lag: 0.25, direction }).pass.measures.limbPhaseFraction;
    for (const [limb, beat] of Object.entries(oracle.FOUR_BEATS)) {
      // 1 % of the stride is 11 ms, half of what separates events of two good methods (EVENT_BAR).
      expect(Math.abs(phaseDifference(value(phases[limb as Limb]).value, beat))).toBeLessThan(0.01);
    }
  });

  it.each(oracle.THREE_DOWN)(
    'duty factor $dutyFactor: three hooves down $share of the time, never none',
    ({ dutyFactor, share }) => {
      const { pass } = analysed({
        lag: 0.25,
        dutyFore: dutyFactor,
        dutyHind: dutyFactor,
        strides: 6,
        fps: 120,
      });
      const fore = value(pass.measures.dutyFactorFore).value;
      const hind = value(pass.measures.dutyFactorHind).value;
      const down = hoovesDown(pass);
      const mean = down.reduce((s, n) => s + n, 0) / down.length;
      expect(mean).toBeCloseTo(2 * (fore + hind), 1);
      expect(Math.abs(fore - dutyFactor)).toBeLessThan(oracle.DUTY_FACTORS.tolerance);
      expect(Math.abs(hind - dutyFactor)).toBeLessThan(oracle.DUTY_FACTORS.tolerance);
      const three = down.filter((n) => n >= 3).length / down.length;
      expect(Math.abs(three - 4 * ((fore + hind) / 2 - 0.5))).toBeLessThan(0.02);
      // A mean duty factor .02 off, half the tolerance of duty factors, moves this share by .08.
      expect(Math.abs(three - share)).toBeLessThan(0.08);
      expect(Math.min(...down)).toBeGreaterThan(0);
    },
  );
});

/** Hooves down at fine steps over whole strides in the middle, from the stances found. */
function hoovesDown(pass: SidePass): number[] {
  const strideS = value(pass.measures.strideDurationS).value;
  const strides = Math.floor((pass.endS - pass.startS) / strideS) - 2;
  const from = pass.startS + strideS;
  return Array.from({ length: strides * 400 }, (_, i) => {
    const t = from + (i * strideS) / 400;
    return pass.stances.filter((s) => t >= (s.onS ?? pass.startS) && t < (s.offS ?? pass.endS)).length;
  });
}
