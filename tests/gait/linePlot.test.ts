/** What a pass away or back is drawn from, against the truth of drawn walks and against its own measures. */
import { describe, expect, it } from 'vitest';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import type { LinePass, LinePlot, Measure } from '../../src/gait/types.ts';
import { LIMBS, type Limb, limbSide } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import { mirrored } from '../track/synthetic.ts';
import { lineClip, PICTURE, type Line } from './lineClips.ts';
import { average, rms } from './support.ts';

const analysed = ({ truth, frames }: Line, height: number | null): LinePass =>
  analyseLinePass(buildTrack(frames, null, [], PICTURE), truth, height);
const plotOf = (line: Line): LinePlot => {
  const { plot } = analysed(line, line.withersM);
  if (!plot) throw new Error('nothing to draw');
  return plot;
};
const lines = Array.from({ length: 8 }, (_, i) => lineClip(i));
const all = lines.map((line) => ({ line, plot: plotOf(line) }));
const value = (measure: Measure): number => ('value' in measure ? measure.value : NaN);
const opposite = (limb: Limb): Limb => `${limb.startsWith('L') ? 'R' : 'L'}${limb.slice(1)}` as Limb;

describe('the plot of a pass away or back', () => {
  it('has prints a stride apart along the way: within 8 % of the truth, as the focal length is not known', () => {
    const strides = all.flatMap(({ line, plot }) =>
      LIMBS.flatMap((limb) => {
        const own = plot.prints.filter((print) => print.limb === limb);
        return own
          .slice(1)
          .map((print, i) => (print.alongM - (own[i]?.alongM ?? NaN)) / line.strideLengthM - 1);
      }),
    );
    expect(strides.length).toBeGreaterThan(60);
    expect(Math.abs(average(strides))).toBeLessThan(0.08);
    expect(rms(strides)).toBeLessThan(0.08);
  });

  it('has left prints as far from right ones as the base is wide, to 2 cm', () => {
    const errors = all.flatMap(({ line, plot }) => {
      const mean = (limb: Limb): number =>
        average(plot.prints.filter((print) => print.limb === limb).map(({ leftM }) => leftM));
      // On a wavering way left and right prints may not lie on the same parts of it: straight ones only.
      if (line.truth.path.rmsM > 0.03) return [];
      const { fore, hind } = line.truth.baseWidthM;
      return [mean('LF') - mean('RF') - fore, mean('LH') - mean('RH') - hind];
    });
    expect(errors.length).toBeGreaterThan(6);
    expect(rms(errors)).toBeLessThan(0.02);
  });

  it('has a body that goes forward, as far from the straight line as is measured', () => {
    for (const { line, plot } of all) {
      const { measures } = analysed(line, line.withersM);
      plot.body.slice(1).forEach((at, i) => expect(at.alongM).toBeGreaterThan(plot.body[i]?.alongM ?? NaN));
      expect(rms(plot.body.map(({ leftM }) => leftM))).toBeCloseTo(value(measures.pathRmsM), 6);
    }
  });

  it('has swings that begin and end near the line between the prints, and depart as far as the hoof does', () => {
    const [ends, errors]: [number[], number[]] = [[], []];
    for (const { line, plot } of all)
      for (const limb of LIMBS) {
        const out = limbSide(limb) === 'left' ? 1 : -1;
        const peaks = plot.swings[limb].map((swing) => {
          ends.push(swing[0]?.leftM ?? NaN, swing.at(-1)?.leftM ?? NaN);
          const middle = swing.slice(Math.floor(swing.length * 0.3), Math.ceil(swing.length * 0.7));
          return average(middle.map(({ leftM }) => out * leftM));
        });
        if (peaks.length > 0 && Math.abs(line.truth.swingOutM[limb]) > 0.03)
          errors.push(average(peaks) / line.truth.swingOutM[limb]);
      }
    expect(rms(ends)).toBeLessThan(0.015);
    // The mean over the middle of a bow is less than its peak.
    expect(errors.length).toBeGreaterThan(4);
    expect(average(errors)).toBeGreaterThan(0.6);
    expect(average(errors)).toBeLessThan(1.1);
  });

  it('has swings above the ground, about as high as the toe is drawn: .062 H in front, .045 behind', () => {
    for (const [limbs, drawnH] of [
      [['LF', 'RF'], 0.062],
      [['LH', 'RH'], 0.045],
    ] as const) {
      const highest = all.flatMap(({ line, plot }) =>
        limbs.flatMap((limb) =>
          plot.swings[limb].map((swing) => Math.max(...swing.map(({ upM }) => upM)) / line.withersM),
        ),
      );
      expect(highest.length).toBeGreaterThan(20);
      expect(average(highest)).toBeGreaterThan(0.6 * drawnH);
      expect(average(highest)).toBeLessThan(1.6 * drawnH);
    }
  });

  it('has a head whose mean is what is measured', () => {
    for (const { line, plot } of all) {
      const { poll } = analysed(line, line.withersM).measures.head;
      const seen = plot.head.flatMap(({ pollLeftM }) => pollLeftM ?? []);
      expect(plot.head.length).toBe(plot.body.length);
      if ('value' in poll.asideM) expect(average(seen)).toBeCloseTo(poll.asideM.value, 6);
    }
  });

  it('is mirrored by a mirrored clip, and is none without a height', () => {
    const [first] = all;
    if (!first) throw new Error('no line');
    const { line, plot } = first;
    const turned = plotOf({ ...line, frames: mirrored(line.frames, PICTURE.widthPx) });
    for (const limb of LIMBS) {
      const [own, other] = [plot.swings[limb], turned.swings[opposite(limb)]].map((swings) => swings.flat());
      expect(other?.length).toBe(own?.length);
      other?.forEach(({ leftM, upM }, i) => {
        expect(leftM).toBeCloseTo(-(own?.[i]?.leftM ?? NaN), 9);
        expect(upM).toBeCloseTo(own?.[i]?.upM ?? NaN, 9);
      });
    }
    expect(LIMBS.some((limb) => plot.swings[limb].length > 0)).toBe(true);
    expect(turned.body[9]?.leftM).toBeCloseTo(-(plot.body[9]?.leftM ?? NaN), 9);
    expect(analysed(line, null).plot).toBeUndefined();
  });
});
