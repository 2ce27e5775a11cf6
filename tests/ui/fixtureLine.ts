/** A way away or back: numbers made up, each another one. */
import type { LineMeasures, LinePass, Measure } from '../../src/gait/types.ts';

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
  return { kind, startS, endS, measures };
}
