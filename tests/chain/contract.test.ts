import { describe, expect, it } from 'vitest';
import type { ClipInfo } from '../../src/clip/types.ts';
import type { Correction } from '../../src/horse/edits.ts';
import { measure } from '../../src/pipeline.ts';
import type { PoseFrame, View } from '../../src/pose/types.ts';
import { REASONS } from '../../src/gait/reasons.ts';
import { resultFile, whyNoPass } from '../../src/report/contract.ts';
import { walk } from '../support/kinematic.ts';
import { PICTURE } from '../track/synthetic.ts';

const clip: ClipInfo = {
  name: 'walk.mp4',
  sizeBytes: 1,
  container: 'mp4',
  codec: 'h264',
  widthPx: PICTURE.widthPx,
  heightPx: PICTURE.heightPx,
  rotationDeg: 0,
  startS: 0,
  durationS: 5,
  meanFps: 60,
  decoder: 'webcodecs',
};

describe('the result', () => {
  const frames = walk({ fps: 60, strides: 4, seed: 3 }).frames.map(({ timeS, horse }): PoseFrame => ({
    timeS,
    horse: horse && { ...horse, view: horse.view as View },
    people: [],
    handlerFeet: [],
  }));
  const seen = { clip, frames, motion: [], ending: null };
  const resultWith = (corrections: readonly Correction[]) =>
    resultFile(seen, measure(seen, corrections, 1.62), 1.62);

  it('says how much of a pass was put right by hand, and only of that pass', () => {
    const [pass] = resultWith([]).passes;
    if (!pass) throw new Error('no pass');
    expect(pass.corrected).toEqual({ points: 0, landingsAndLiftOffs: 0 });
    const middleS = (pass.startS + pass.endS) / 2;
    const { x, y } = frames.find(({ timeS }) => timeS >= middleS)?.horse?.points.left_fore_hoof ?? {
      x: 0,
      y: 0,
    };
    const point = (id: string, timeS: number): Correction => ({
      kind: 'point',
      id,
      timeS,
      point: 'left_fore_hoof',
      x,
      y,
    });
    const landing: Correction = {
      kind: 'event',
      id: 'c',
      limb: 'LF',
      edge: 'on',
      foundS: middleS,
      timeS: middleS + 0.02,
    };
    const [corrected] = resultWith([point('a', middleS), point('b', pass.endS + 9), landing]).passes;
    expect(corrected?.corrected).toEqual({ points: 1, landingsAndLiftOffs: 1 });
  });

  it('without a pass says that another horse was left out, where one was', () => {
    const standing = frames.map((frame) => ({ ...frame, horse: frames[90]?.horse ?? null, identity: 1 }));
    const later = standing.map((frame) => ({ ...frame, timeS: frame.timeS + 20, identity: 2 }));
    const resultOf = (list: readonly PoseFrame[]) => {
      const of = { ...seen, frames: list };
      return resultFile(of, measure(of, [], 1.62), 1.62);
    };
    expect(resultOf(standing)).toMatchObject({ passes: [], reason: 'noSidePass' });
    expect(resultOf(standing)).not.toHaveProperty('warnings');
    const both = resultOf([...standing, ...later]);
    expect(both).toMatchObject({ passes: [], reason: 'noSidePass', warnings: ['anotherLeftOut'] });
    expect(whyNoPass(both)).toEqual([REASONS.noSidePass, REASONS.anotherLeftOut]);
    expect(whyNoPass(resultWith([]))).toEqual([]);
  });
});
