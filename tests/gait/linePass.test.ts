/** Passes away from the camera and back: the core alone, on exact points of drawn walks with the noise of real ones. */
import { describe, expect, it } from 'vitest';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import { depthFrom } from '../../src/gait/lineView.ts';
import type { LinePass, Measure } from '../../src/gait/types.ts';
import { LIMBS } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import { mirrored } from '../track/synthetic.ts';
import type { TrueLinePass } from '../truth/trueLine.ts';
import { lineClip, PICTURE, type Line } from './lineClips.ts';

const analysed = ({ truth, frames, withersM }: Line, height: number | null = withersM): LinePass =>
  analyseLinePass(buildTrack(frames, null, [], PICTURE), truth, height);

interface Compared {
  readonly off: number;
  readonly held: boolean;
}
const compared = (measure: Measure, truth: number): Compared[] =>
  'value' in measure
    ? [{ off: measure.value - truth, held: measure.low <= truth && truth <= measure.high }]
    : [];
const rms = (list: readonly Compared[]): number =>
  Math.sqrt(list.reduce((sum, { off }) => sum + off * off, 0) / list.length);

const lines = Array.from({ length: 12 }, (_, i) => lineClip(i));
const passes = lines.map((line) => ({ line, pass: analysed(line) }));
const SIDES = ['left', 'right'] as const;

/** Largest RMS errors that a drawn horse up to 15 m away may have: degrees, m. */
const MEASURES: Record<
  string,
  { most: number; of: (m: LinePass['measures'], t: TrueLinePass) => Compared[] }
> = {
  'drift of the path': { most: 0.5, of: (m, t) => compared(m.pathDriftDeg, t.path.driftDeg) },
  'RMS distance from the straight line': { most: 0.02, of: (m, t) => compared(m.pathRmsM, t.path.rmsM) },
  'base width in front': { most: 0.02, of: (m, t) => compared(m.baseWidthForeM, t.baseWidthM.fore) },
  'base width behind': { most: 0.02, of: (m, t) => compared(m.baseWidthHindM, t.baseWidthM.hind) },
  'hind on fore': {
    most: 0.02,
    of: (m, t) => SIDES.flatMap((side) => compared(m.hindOnForeM[side], t.hindOnForeM[side] ?? NaN)),
  },
  'swing deviation': {
    most: 0.02,
    of: (m, t) => LIMBS.flatMap((limb) => compared(m.swingOutM[limb], t.swingOutM[limb])),
  },
  poll: { most: 0.02, of: (m, t) => compared(m.head.poll.asideM, t.head.poll.meanM) },
  muzzle: { most: 0.02, of: (m, t) => compared(m.head.muzzle.asideM, t.head.muzzle.meanM) },
};

describe('a pass away or back, by exact points with noise', () => {
  it.each(Object.entries(MEASURES))('measures the %s', (_, { most, of }) => {
    const all = passes.flatMap(({ line, pass }) => of(pass.measures, line.truth));
    expect(all.length).toBeGreaterThanOrEqual(passes.length);
    expect(rms(all)).toBeLessThan(most);
    expect(all.filter(({ held }) => held).length / all.length).toBeGreaterThanOrEqual(0.9);
  });

  it('tells winging from plaiting in 95 % of the limbs that deviate by more than 3 cm', () => {
    const far = passes.flatMap(({ line, pass }) =>
      LIMBS.flatMap((limb) => {
        const [truth, found] = [line.truth.swingOutM[limb], pass.measures.swingOutM[limb]];
        return Math.abs(truth) > 0.03 && 'value' in found
          ? [Math.sign(found.value) === Math.sign(truth)]
          : [];
      }),
    );
    expect(far.length).toBeGreaterThan(8);
    expect(far.filter(Boolean).length / far.length).toBeGreaterThanOrEqual(0.95);
  });

  it('gives a mirrored clip mirrored results', () => {
    for (const { line, pass } of passes.slice(0, 4)) {
      const { measures: m } = pass;
      const { measures: turned } = analysed({ ...line, frames: mirrored(line.frames, PICTURE.widthPx) });
      const value = (measure: Measure): number => ('value' in measure ? measure.value : NaN);
      expect(value(turned.pathDriftDeg)).toBeCloseTo(-value(m.pathDriftDeg), 9);
      expect(value(turned.baseWidthForeM)).toBeCloseTo(value(m.baseWidthForeM), 9);
      expect(value(turned.hindOnForeM.left)).toBeCloseTo(-value(m.hindOnForeM.right), 9);
      const [left, right] = line.truth.kind === 'away' ? (['LH', 'RH'] as const) : (['LF', 'RF'] as const);
      expect(value(turned.swingOutM[right])).toBeCloseTo(value(m.swingOutM[left]), 9);
      expect(value(turned.head.muzzle.asideM)).toBeCloseTo(-value(m.head.muzzle.asideM), 9);
    }
  });

  it('without a height at the withers gives the drift and no length', () => {
    const [line] = lines;
    if (!line) throw new Error('no line');
    const { measures } = analysed(line, null);
    expect(measures.pathDriftDeg).toEqual(analysed(line).measures.pathDriftDeg);
    expect(measures.baseWidthForeM).toEqual({ reason: 'withersHeightMissing' });
    expect(measures.head.poll).toEqual({ asideM: { reason: 'withersHeightMissing' } });
  });

  it('says why where no hoof is seen, or no horse', () => {
    const [line] = lines;
    if (!line) throw new Error('no line');
    const without = (keep: (name: string) => boolean): LinePass =>
      analysed({
        ...line,
        frames: line.frames.map((frame) => ({
          ...frame,
          horse: frame.horse && {
            ...frame.horse,
            points: Object.fromEntries(Object.entries(frame.horse.points).filter(([name]) => keep(name))),
          },
        })),
      });
    expect(without((name) => !name.includes('hoof')).measures.pathDriftDeg).toEqual({ reason: 'hoofHidden' });
    expect(without((name) => name !== 'croup').measures.pathDriftDeg).toEqual({ reason: 'pointHidden' });
    expect(without(() => false).measures.swingOutM.LF).toEqual({ reason: 'hoofHidden' });
  });

  it('follows no hoof of the far pair through the air', () => {
    for (const { line, pass } of passes) {
      const far = line.truth.kind === 'away' ? (['LF', 'RF'] as const) : (['LH', 'RH'] as const);
      for (const limb of far) expect(pass.measures.swingOutM[limb]).toEqual({ reason: 'farPair' });
    }
  });
});

describe('the depth', () => {
  it('is focal length over height in the picture (pinhole, exact): 900 px, a horse from 4 to 7 heights away', () => {
    const heights = Array.from({ length: 31 }, (_, i) => ({ timeS: i / 10, px: 900 / (4 + i / 10) }));
    const depth = depthFrom(heights, 900);
    expect(depth?.speed).toBeCloseTo(1, 9);
    expect(depth?.at(0)).toBeCloseTo(4, 9);
    expect(depth?.at(3)).toBeCloseTo(7, 9);
  });
});
