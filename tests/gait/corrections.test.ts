import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import type { EventCorrection, SidePass } from '../../src/gait/types.ts';
import { applyEdits, type Edit } from '../../src/horse/edits.ts';
import { walk } from '../support/kinematic.ts';
import { value } from './support.ts';

const { track } = walk({ noise: 1, strides: 3 });
const withCorrections = (...eventCorrections: EventCorrection[]): SidePass => {
  const pass = analyseTrack(track, { withersM: 1.62, eventCorrections })[0];
  if (!pass) throw new Error('no pass');
  return pass;
};
const plain = withCorrections();
const foreOns = plain.stances.flatMap((s) => (s.limb === 'LF' && s.onS !== null ? [s.onS] : []));
const move = (foundS: number, timeS: number, part: Partial<EventCorrection> = {}): EventCorrection => ({
  kind: 'event',
  id: `at ${foundS}`,
  limb: 'LF',
  edge: 'on',
  foundS,
  timeS,
  ...part,
});

describe('events put right by hand', () => {
  it('replace the nearest edge and move every measure that rests on it', () => {
    const shifted = withCorrections(...foreOns.map((t) => move(t + 0.02, t + 0.05)));
    const moved = shifted.stances.filter((s) => s.edited);
    expect(moved.map((s) => s.onS)).toEqual(foreOns.map((t) => expect.closeTo(t + 0.05, 9)));
    const lag = (p: SidePass): number => value(p.measures.lateralLagFraction).value;
    const duration = value(plain.measures.strideDurationS).value;
    expect(lag(shifted) - lag(plain)).toBeCloseTo(0.05 / duration, 3);
    expect(value(shifted.measures.dutyFactorFore).value).toBeLessThan(
      value(plain.measures.dutyFactorFore).value - 0.02,
    );
    expect(value(shifted.measures.limbPhaseFraction.LF).value).toBeGreaterThan(
      value(plain.measures.limbPhaseFraction.LF).value,
    );
  });
  it('add no edge where none is near, and never end a stance before it began', () => {
    const first = foreOns[0] ?? 0;
    const far = withCorrections(move(first + 40, first + 40));
    expect(JSON.stringify(far)).toBe(JSON.stringify(plain));
    const late = withCorrections(move(first, first + 3));
    expect(JSON.stringify(late)).toBe(JSON.stringify(plain));
  });
  it('of the same edge: the last one counts', () => {
    const first = foreOns[0] ?? 0;
    const twice = withCorrections(move(first, first + 0.08), move(first, first + 0.03, { id: 'later' }));
    expect(twice.stances.filter((s) => s.edited).map((s) => s.onS)).toEqual([
      expect.closeTo(first + 0.03, 9),
    ]);
  });
  it('hold whatever the order in which the edges of a stance were set', () => {
    const stance = plain.stances.find((s) => s.limb === 'LF' && s.onS !== null && s.offS !== null);
    const [onS, offS] = [stance?.onS ?? Number.NaN, stance?.offS ?? Number.NaN];
    const off = (by: number, id: string): EventCorrection => move(offS, offS + by, { edge: 'off', id });
    const on = move(onS, offS + 0.05, { id: 'on' });
    const edits: Edit[] = [off(0.2, 'off'), on, off(0.25, 'fine')].map((correction) => ({
      do: 'set',
      correction,
    }));
    const edges = (count: number): (number | null)[][] => {
      const { corrections } = applyEdits(edits.slice(0, count));
      const pass = withCorrections(...corrections.filter((c) => c.kind === 'event'));
      return pass.stances.flatMap((s) => (s.edited ? [[s.onS, s.offS]] : []));
    };
    expect(edges(1)).toEqual([[expect.closeTo(onS, 9), expect.closeTo(offS + 0.2, 9)]]);
    expect(edges(2)).toEqual([[expect.closeTo(offS + 0.05, 9), expect.closeTo(offS + 0.2, 9)]]);
    expect(edges(3)).toEqual([[expect.closeTo(offS + 0.05, 9), expect.closeTo(offS + 0.25, 9)]]);
  });
  it('that contradict the found edges are left out, the others of the stance are kept', () => {
    const stance = plain.stances.find((s) => s.limb === 'LF' && s.onS !== null && s.offS !== null);
    const [onS, offS] = [stance?.onS ?? Number.NaN, stance?.offS ?? Number.NaN];
    const possible = move(onS, onS + 0.1, { id: 'on' });
    const impossible = move(offS, onS - 0.1, { id: 'off', edge: 'off' });
    for (const both of [
      [possible, impossible],
      [impossible, possible],
    ]) {
      const edited = withCorrections(...both).stances.filter((s) => s.edited);
      expect(edited.map((s) => [s.onS, s.offS])).toEqual([
        [expect.closeTo(onS + 0.1, 9), expect.closeTo(offS, 9)],
      ]);
    }
  });
  it('leave other limbs alone', () => {
    const moved = withCorrections(move(foreOns[0] ?? 0, (foreOns[0] ?? 0) + 0.05));
    const others = (p: SidePass): (number | null)[] =>
      p.stances.filter((s) => s.limb !== 'LF').map((s) => s.onS);
    expect(others(moved)).toEqual(others(plain));
  });
});
