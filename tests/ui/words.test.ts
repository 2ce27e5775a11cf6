/** What the page says of a result, and what it draws of one that is incomplete. */
import { describe, expect, it } from 'vitest';
import type { Measure, SidePass, Stance } from '../../src/gait/types.ts';
import { drawnSpan } from '../../src/ui/charts/footfallEdges.ts';
import { strideBands } from '../../src/ui/charts/strideBands.ts';
import { mainMeasureNow } from '../../src/ui/mainMeasure.ts';
import { MEASURE_WORDS, warningWords } from '../../src/ui/words.ts';
import { fixtureGait } from './fixtureGait.ts';
import { WITHERS_M } from './fixtureHorse.ts';
import { fixtureLine } from './fixtureLine.ts';

function passOf(withersM: number | null): SidePass {
  const [pass] = fixtureGait([], withersM).passes;
  if (!pass) throw new Error('no pass');
  return pass;
}
const typed = passOf(WITHERS_M);
const untyped = passOf(null);
const withOvertrack = (pass: SidePass, overtrackM: Measure): SidePass => ({
  ...pass,
  measures: { ...pass.measures, overtrackM },
});

describe('the overtrack after a correction', () => {
  it('is said in the unit of the table: in withers heights where only the metres are missing', () => {
    expect(mainMeasureNow(typed, 'metric')).toMatch(/^ Overtrack now 1[23].cm/);
    for (const reason of ['withersHeightMissing', 'distanceUnread'] as const)
      expect(mainMeasureNow(withOvertrack(untyped, { reason }), 'metric')).toMatch(/now 8.% of the withers/);
    const refused = withOvertrack(typed, { reason: 'tooOblique' });
    expect(mainMeasureNow(refused, 'metric')).toBe(' Overtrack can\u2019t be measured now.');
    expect(mainMeasureNow(null, 'metric')).toBe('');
  });

  it('gives way to the base widths on a way from the camera or back', () => {
    const line = (withersM: number | null) => fixtureLine({ kind: 'away', startS: 0, endS: 1 }, withersM);
    const said = mainMeasureNow(line(WITHERS_M), 'metric').replaceAll('\u00a0', ' ');
    expect(said).toBe(' Base width now in front 20 cm (17 to 23), behind 16 cm (13 to 19).');
    expect(mainMeasureNow(line(null), 'metric')).toBe(' Base width can\u2019t be measured now.');
  });
});

describe('what a measure means', () => {
  it('is what it is computed from: steps and lift-offs too for the stride, speed for the Froude number', () => {
    expect(MEASURE_WORDS.strideDurationS.meaning).toMatch(/landings and lift-offs.*twice the step/);
    expect(MEASURE_WORDS.froude.meaning).toContain('the same speed for the length of the legs');
    expect(MEASURE_WORDS.froude.meaning).not.toContain('tempo');
  });
});

describe('warnings', () => {
  const refusedFor = (reason: 'tooOblique' | 'groundUnsure'): SidePass => ({
    ...typed,
    inWithersHeights: { ...typed.inWithersHeights, strideLengthH: { reason } },
  });

  it('speak of less certain lengths where there are lengths, and of none where they are refused', () => {
    for (const code of ['oblique', 'groundUnsure'] as const)
      expect(warningWords(code, typed)).toContain('less certain');
    for (const code of ['tooOblique', 'groundUnsure'] as const) {
      expect(warningWords(code, refusedFor(code))).toMatch(/no lengths are given/i);
      expect(warningWords(code, refusedFor(code))).not.toContain('less certain');
    }
  });
});

describe('a stance in the footfall chart', () => {
  const stance = typed.stances[0] as Stance;

  it('is drawn as far as it was seen, where an edge lies in a hole', () => {
    const seen = { ...stance, onS: null, offS: null, seenS: { from: 1.2, to: 1.5 } };
    expect(drawnSpan(seen, typed)).toEqual({ fromS: 1.2, toS: 1.5 });
    expect(drawnSpan({ ...seen, onS: 1.1, offS: 1.7 }, typed)).toEqual({ fromS: 1.1, toS: 1.7 });
  });
});

describe('bands of the head curve', () => {
  const samples = Array.from({ length: 200 }, (_, i) => ({ timeS: i / 40, height: 0.2 }));
  const hind = (onS: number | null): Stance => ({ ...(typed.stances[0] as Stance), limb: 'LH', onS });
  const bandsOf = (landings: readonly (number | null)[], strideDurationS: Measure) =>
    strideBands(
      { ...typed, stances: landings.map(hind), measures: { ...typed.measures, strideDurationS } },
      samples,
    ).map(({ fromS, toS }) => [fromS, toS]);
  const oneS: Measure = { value: 1, low: 0.9, high: 1.1, n: 3, side: 'left' };

  it('are one stride each', () => {
    expect(bandsOf([0.5, 1.5, 2.5], oneS)).toEqual([
      [0.5, 1.5],
      [1.5, 2.5],
    ]);
  });

  it('leave out strides of which a landing was not seen, or a whole stance', () => {
    expect(bandsOf([0.5, 1.5, null, 3.5, 4.5], oneS)).toEqual([
      [0.5, 1.5],
      [3.5, 4.5],
    ]);
    expect(bandsOf([0.5, 2.5, 3.5], oneS)).toEqual([[2.5, 3.5]]);
    expect(bandsOf([0.5, 2.5, 3.5], { reason: 'slowMotion' })).toEqual([[2.5, 3.5]]);
  });
});
