import { describe, expect, it } from 'vitest';
import type { ClipInfo } from '../../src/clip/types.ts';
import type { Correction } from '../../src/horse/edits.ts';
import { measure } from '../../src/pipeline.ts';
import type { PoseFrame, View } from '../../src/pose/types.ts';
import { REASONS } from '../../src/gait/reasons.ts';
import type { GivenPasses } from '../../src/gait/types.ts';
import { resultFile, whyNoPass, type PassEntry } from '../../src/report/contract.ts';
import { NOTHING_HIDDEN, observedExactly } from '../accuracy/exact.ts';
import { seenOf } from '../gait/drawnClips.ts';
import { CLIPS, type ClipPlan } from '../truth/plans.ts';
import { truthOf } from '../truth/truth.ts';
import { walk } from '../support/kinematic.ts';
import { PICTURE } from '../track/synthetic.ts';
import { sideEntries } from '../support/sideEntries.ts';

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
    const [pass] = sideEntries(resultWith([]));
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
    const [corrected] = sideEntries(resultWith([point('a', middleS), point('b', pass.endS + 9), landing]));
    expect(corrected?.corrected).toEqual({ points: 1, landingsAndLiftOffs: 1 });
  });

  it('without a pass says that another horse was left out, where one was', () => {
    const standing = frames.map((frame) => ({ ...frame, horse: frames[90]?.horse ?? null, identity: 1 }));
    const later = standing.map((frame) => ({ ...frame, timeS: frame.timeS + 20, identity: 2 }));
    const resultOf = (list: readonly PoseFrame[]) => {
      const of = { ...seen, frames: list };
      return resultFile(of, measure(of, [], 1.62), 1.62);
    };
    expect(resultOf(standing)).toMatchObject({ reason: 'noPass' });
    expect(resultOf(standing)).not.toHaveProperty('warnings');
    const both = resultOf([...standing, ...later]);
    expect(both).toMatchObject({ reason: 'noPass', warnings: ['anotherLeftOut'] });
    expect(whyNoPass(both)).toEqual([REASONS.noPass, REASONS.anotherLeftOut]);
    expect(whyNoPass(resultWith([]))).toEqual([]);
  });
});

describe('the result of a triangle', () => {
  const plan = CLIPS['triangle'] as ClipPlan;
  const truth = truthOf(plan, () => NOTHING_HIDDEN);
  const { frames, motion } = seenOf(plan, truth);
  const seen = { ...observedExactly(plan, truth, 1), frames: frames as PoseFrame[], motion: motion ?? [] };
  const resultWith = (corrections: readonly Correction[], of = seen) =>
    resultFile(of, measure(of, corrections, truth.withersM), truth.withersM);
  const result = resultWith([]);
  const entryOf = (kind: PassEntry['kind']) => result.passes.find((pass) => pass.kind === kind);

  it('has passes of all kinds in order of time', () => {
    expect(result.passes.map(({ kind }) => kind)).toEqual(['away', 'turn', 'side', 'turn', 'towards']);
    expect(result).not.toHaveProperty('reason');
    expect(Object.keys(entryOf('turn') ?? {})).toEqual(['kind', 'startS', 'endS']);
    expect(entryOf('side')).toMatchObject({
      direction: 'right',
      measures: measure(seen, [], truth.withersM).passes[0]?.measures,
    });
    for (const kind of ['away', 'towards'] as const) {
      const entry = entryOf(kind);
      if (entry?.kind !== kind) throw new Error(`nothing ${kind}`);
      expect(Object.keys(entry)).toEqual(['kind', 'startS', 'endS', 'measures', 'corrected']);
      const { hindOnForeM, swingOutM, head, ...single } = entry.measures;
      expect(Object.keys(single)).toEqual(['pathDriftDeg', 'pathRmsM', 'baseWidthForeM', 'baseWidthHindM']);
      const all = [...Object.values(single), ...Object.values(hindOnForeM), ...Object.values(swingOutM)];
      expect(all).toHaveLength(10);
      for (const one of [...all, head.poll.asideM, head.muzzle.asideM])
        expect(Object.keys(one)).toEqual('value' in one ? ['value', 'low', 'high', 'n', 'side'] : ['reason']);
      expect(single.pathDriftDeg).toHaveProperty('value');
    }
  });

  it('has the passes that were set by hand instead, and says so', () => {
    const spans: GivenPasses['spans'] = [
      { kind: 'stand', startS: 0, endS: 2 },
      { kind: 'turn', startS: 2, endS: 6 },
    ];
    const byHand = resultWith([{ kind: 'passes', id: 'a', timeS: 1, spans }]);
    // Of these nothing is measured.
    expect(byHand).toMatchObject({ passes: spans, passesByHand: true, reason: 'noPass' });
    expect(result).not.toHaveProperty('passesByHand');
  });

  it('does not say so of passes set by hand of which none can be one', () => {
    const spans = [{ kind: 'turn', startS: 2, endS: 1 }] as const;
    const none = resultWith([{ kind: 'passes', id: 'a', timeS: 1, spans }]);
    expect(none).not.toHaveProperty('passesByHand');
    expect(none.passes).toEqual(result.passes);
  });

  it('has the reason why nothing is measured of the passes that there are', () => {
    const line = resultWith([
      { kind: 'passes', id: 'a', timeS: 1, spans: [{ kind: 'away', startS: 0, endS: 0.2 }] },
    ]);
    expect(line.passes).toHaveLength(1);
    expect(line.passes[0]).toMatchObject({ measures: { pathDriftDeg: { reason: line.reason } } });
    expect(whyNoPass(line)).toHaveLength(1);
  });

  it('gives no reason where it only goes away', () => {
    const { endS } = entryOf('away') ?? { endS: 0 };
    const only = resultWith([], { ...seen, frames: seen.frames.filter(({ timeS }) => timeS <= endS) });
    expect(only.passes.map(({ kind }) => kind)).toEqual(['away']);
    expect(only).not.toHaveProperty('reason');
  });
});
