/** A way away or back: numbers made up, each another one. */
import type { LineMeasures, LinePass, LinePlot, Measure } from '../../src/gait/types.ts';

import { LIMBS, type Limb } from '../../src/points.ts';

interface Span {
  readonly kind: 'away' | 'towards';
  readonly startS: number;
  readonly endS: number;
}

export function fixtureLine({ kind, startS, endS }: Span, withersM: number | null): LinePass {
  const metres = (value: number, half: number, n = 4): Measure =>
    withersM === null
      ? { reason: 'withersHeightMissing' }
      : { value, low: value - half, high: value + half, n, side: 'both' };
  const measures: LineMeasures = {
    pathDriftDeg: { value: -2.4, low: -3.1, high: -1.7, n: 3, side: 'both' },
    pathRmsM: metres(0.06, 0.02, 3),
    baseWidthForeM: metres(0.2, 0.03, 5),
    baseWidthHindM: metres(0.16, 0.03, 6),
    hindOnForeM: { left: metres(0.021, 0.01), right: metres(0.013, 0.01) },
    swingOutM: {
      LF: metres(0.045, 0.01),
      RF: metres(-0.035, 0.01),
      LH: metres(0.004, 0.01),
      RH: { reason: 'hoofHidden' },
    },
    head: {
      toleranceM: 0.05,
      poll: { asideM: metres(0.03, 0.02, 3), leftShare: 0.4, rightShare: 0.05 },
      muzzle: { asideM: { reason: 'pointHidden' } },
    },
  };
  const span = { kind, startS, endS };
  return { ...span, measures, ...(withersM === null ? {} : { plot: fixturePlot(startS) }) };
}

/** A straight way, its body to the left at first; the left fore swings outward, the poll is left, the muzzle right of the line. */
export function fixturePlot(startS: number): LinePlot {
  const times = Array.from({ length: 30 }, (_, i) => startS + i / 30);
  const print = (limb: Limb, k: number) => ({
    ...{ limb, onS: startS + k, offS: startS + k + 0.6, alongM: 1.7 * k },
    leftM: (limb.startsWith('L') ? 1 : -1) * (limb.endsWith('F') ? 0.1 : 0.08),
  });
  const swing = (leftM: number) => [
    [0, 0.25, 0.5, 0.75, 1].map((share) => ({
      timeS: startS + 0.4 * share,
      leftM: leftM * Math.sin(Math.PI * share),
      upM: 0.1 * Math.sin(Math.PI * share),
    })),
  ];
  return {
    prints: LIMBS.flatMap((limb) => [print(limb, 0), print(limb, 1)]),
    body: times.map((timeS, i) => ({ timeS, alongM: i / 15, leftM: i < 15 ? 0.05 : -0.05 })),
    swings: { LF: swing(0.045), RF: swing(0.035), LH: swing(0.004), RH: [] },
    head: times.map((timeS, i) => ({ timeS, pollLeftM: 0.03, muzzleLeftM: i < 10 ? null : -0.08 })),
  };
}
