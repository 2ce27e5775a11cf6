/** A way away or back: numbers made up, each another one. */
import { type LineSpan, nearEnd } from '../../src/gait/lineView.ts';
import type { LineMeasures, LinePass, LinePlot, Measure } from '../../src/gait/types.ts';
import { LIMBS, type Limb, limbSide } from '../../src/points.ts';

/** How far the near pair swings to the left, m: its left hoof outward, its right hoof inward. */
const SWING_LEFT_M = { left: 0.045, right: 0.035 } as const;

export function fixtureLine(span: LineSpan, withersM: number | null): LinePass {
  const { kind, startS, endS } = span;
  const metres = (value: number, half: number, n = 4): Measure =>
    withersM === null
      ? { reason: 'withersHeightMissing' }
      : { value, low: value - half, high: value + half, n, side: 'both' };
  const swing = (limb: Limb): Measure => {
    if (!nearEnd(span).limbs.includes(limb)) return { reason: 'farPair' };
    const side = limbSide(limb);
    return metres((side === 'left' ? 1 : -1) * SWING_LEFT_M[side], 0.01);
  };
  const measures: LineMeasures = {
    pathDriftDeg: { value: -2.4, low: -3.1, high: -1.7, n: 3, side: 'both' },
    pathRmsM: metres(0.06, 0.02, 3),
    baseWidthForeM: metres(0.2, 0.03, 5),
    baseWidthHindM: metres(0.16, 0.03, 6),
    hindOnForeM: { left: metres(0.021, 0.01), right: metres(0.013, 0.01) },
    swingOutM: { LH: swing('LH'), LF: swing('LF'), RH: swing('RH'), RF: swing('RF') },
    head: {
      toleranceM: 0.05,
      poll: { asideM: metres(0.03, 0.02, 3), leftShare: 0.4, rightShare: 0.05 },
      muzzle: { asideM: { reason: 'pointHidden' } },
    },
  };
  return { kind, startS, endS, measures, ...(withersM === null ? {} : { plot: fixturePlot(span) }) };
}

/** A straight way, its body to the left at first; the near pair swings to the left, the poll is left, the muzzle right of the line. */
export function fixturePlot(span: LineSpan): LinePlot {
  const { startS } = span;
  const times = Array.from({ length: 30 }, (_, i) => startS + i / 30);
  const print = (limb: Limb, k: number) => ({
    ...{ limb, onS: startS + k, offS: startS + k + 0.6, alongM: 1.7 * k },
    leftM: (limb.startsWith('L') ? 1 : -1) * (limb.endsWith('F') ? 0.1 : 0.08),
  });
  const swings = (limb: Limb) => {
    const once = [0, 0.25, 0.5, 0.75, 1].map((share) => ({
      timeS: startS + 0.4 * share,
      leftM: SWING_LEFT_M[limbSide(limb)] * Math.sin(Math.PI * share),
      upM: 0.1 * Math.sin(Math.PI * share),
    }));
    return nearEnd(span).limbs.includes(limb) ? [once] : [];
  };
  return {
    prints: LIMBS.flatMap((limb) => [print(limb, 0), print(limb, 1)]),
    body: times.map((timeS, i) => ({ timeS, alongM: i / 15, leftM: i < 15 ? 0.05 : -0.05 })),
    swings: { LH: swings('LH'), LF: swings('LF'), RH: swings('RH'), RF: swings('RF') },
    head: times.map((timeS, i) => ({ timeS, pollLeftM: 0.03, muzzleLeftM: i < 10 ? null : -0.08 })),
  };
}
