import { describe, expect, it } from 'vitest';
import { overtrackOf, withoutExchanged, type OvertrackPair } from '../../src/gait/lengths.ts';

/** A pair of prints with this overtrack, withers heights. */
const pair = (overtrackH: number, side: 'left' | 'right' = 'left'): OvertrackPair => {
  const stance = {} as OvertrackPair['fore']['stance'];
  return { side, fore: { value: 1, sd: 0.01, stance }, hind: { value: 1 + overtrackH, sd: 0.01, stance } };
};
const kept = (...overtracksH: number[]): number[] =>
  withoutExchanged(overtracksH.map((h) => pair(h))).map((p) => Number(overtrackOf(p).value.toFixed(6)));

describe('overtracks of exchanged legs', () => {
  it('half a stride away from the others are left out', () => {
    expect(kept(0.05, 0.07, -0.58, 0.06)).toEqual([0.05, 0.07, 0.06]);
    expect(kept(0.05, 0.07, 0.36, 0.06)).toEqual([0.05, 0.07, 0.06]);
  });

  it('are left out where there is but one, and a walk allows none such', () => {
    expect(kept(-0.58)).toEqual([]);
    expect(kept(0.12)).toEqual([0.12]);
  });

  it('make none trusted where two contradict each other', () => {
    expect(kept(0.3, -0.1)).toEqual([]);
  });

  it('are not what a horse that varies from stride to stride shows', () => {
    expect(kept(-0.02, 0.15, 0.06)).toEqual([-0.02, 0.15, 0.06]);
  });
});
