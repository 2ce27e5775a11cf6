/** What filming costs, on walks with exact truth and the noise of real points (check 34: Niknejad et al. 2023, J ASABE 66:865). */
import { describe, expect, it } from 'vitest';
import { budgetOf, COSTED, type ScaledFacts } from '../../src/advice/budget.ts';
import { sideFaults } from '../../src/advice/faults.ts';
import { takeCheck, type Finding } from '../../src/advice/takeCheck.ts';
import { findingWords } from '../../src/advice/words.ts';
import { passFacts } from '../../src/gait/analyse.ts';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import { measure } from '../../src/pipeline.ts';
import { FETLOCK, HOOF } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame, Track } from '../../src/track/types.ts';
import { fromStillCamera, NOTHING_HIDDEN, observedExactly } from '../accuracy/exact.ts';
import { average, seeds } from '../gait/support.ts';
import { lineClip, PICTURE } from '../gait/lineClips.ts';
import type { WalkOptions } from '../support/kinematic.ts';
import { CLIPS } from '../truth/plans.ts';
import { truthOf } from '../truth/truth.ts';
import {
  CARD,
  causes,
  checked,
  costOf,
  filmed,
  half,
  narrower,
  part,
  type Checked,
  type Frames,
} from './takes.ts';

const square = filmed({});

function factsOf(options: Partial<WalkOptions>, seed: number, change?: (track: Track) => Track): ScaledFacts {
  const { track, passes } = checked({ ...options, seed }, 'given', change ? { track: change } : {});
  const [pass] = passes;
  const facts = pass && passFacts(track, pass, { withersM: 1.62 });
  if (!facts?.scale) throw new Error('no scale');
  return { ...facts, scale: facts.scale };
}

describe('the budget of a side pass', () => {
  it('has the intervals of the measures themselves', () => {
    for (const clip of square) {
      const [pass] = clip.passes;
      const facts = pass && passFacts(clip.track, pass, { withersM: 1.62 });
      if (!facts?.scale) throw new Error('no scale');
      const budget = budgetOf({ ...facts, scale: facts.scale }, []);
      expect((budget.half.overtrackH ?? NaN) * 1.62).toBeCloseTo(half(clip, 'overtrackM'), 9);
      expect((budget.half.strideLengthH ?? NaN) * 1.62).toBeCloseTo(half(clip, 'strideLengthM'), 9);
      expect(budget.rest).toEqual(budget.half);
    }
  });

  /** What prints have of blur, more strides would lessen too: the two touch. */
  const kinds = [
    ['sharp', null, 0.005],
    ['blurred', 6, 0.01],
  ] as const;
  it.each(kinds)(
    'adds up, %s: squares of all parts and of the rest are that of the whole',
    (_, blurPx, to) => {
      const bad = { fps: 30, obliquityDeg: 15, strides: 2.6, tiltDeg: 8, distanceM: 6 };
      for (const seed of seeds(8)) {
        const facts = factsOf(bad, seed, (track) => ({
          ...track,
          groundSdPx: 1,
          blurPx: track.timesS.map(() => blurPx),
        }));
        const { half: whole, without, rest } = budgetOf(facts, COSTED);
        for (const key of ['overtrackH', 'strideLengthH'] as const) {
          const all = whole[key] ?? NaN;
          const parts = COSTED.map((cause) => all ** 2 - (without[cause]?.[key] ?? NaN) ** 2);
          const sum = Math.sqrt(parts.reduce((a, b) => a + b, (rest[key] ?? NaN) ** 2));
          expect(Math.abs(sum / all - 1)).toBeLessThan(to);
          expect(rest[key] ?? NaN).toBeLessThan(all);
        }
      }
    },
  );
});

describe('a take as it is wanted', () => {
  it('has nothing to be found', () => {
    expect(square.flatMap(causes)).toEqual([]);
  });
});

describe('pictures a second', () => {
  it('cost the more the fewer they are, and nothing at 60', () => {
    const [at15, at30] = [filmed({ fps: 15 }), filmed({ fps: 30 })];
    for (const clip of at30) expect(causes(clip)).toEqual(['fewPictures']);
    for (const of of ['overtrack', 'strideLength'] as const) {
      expect(part(at30, 'fewPictures', of)).toBeGreaterThan(0);
      expect(part(at15, 'fewPictures', of)).toBeGreaterThan(part(at30, 'fewPictures', of));
    }
  });
});

describe('distance', () => {
  const [at5, at20] = [filmed({ distanceM: 5 }), filmed({ distanceM: 20 })];

  it('5 m is too near, 8 m and 20 m are not', () => {
    for (const clip of at5) expect(causes(clip)).toContain('tooNear');
    expect([...filmed({ distanceM: 8 }), ...at20].flatMap(causes)).not.toContain('tooNear');
    expect(part(at5, 'tooNear', 'strideLength')).toBeGreaterThan(0.005);
  });

  it('at 20 m a horse of 1.62 m has 124 px in a picture 1920 px wide (pinhole, focal share .8): small', () => {
    for (const clip of at20) {
      expect(causes(clip)).toEqual(['small']);
      expect(clip.findings[0]?.size?.value).toBeGreaterThan(121);
      expect(clip.findings[0]?.size?.value).toBeLessThan(128);
    }
  });
});

describe('a path that is not square', () => {
  it('costs the more the farther it is off, either way', () => {
    const [at10, at20] = [filmed({ obliquityDeg: 10 }), filmed({ obliquityDeg: 20 })];
    expect(part(at10, 'oblique', 'strideLength')).toBeGreaterThan(0);
    expect(part(at20, 'oblique', 'strideLength')).toBeGreaterThan(3 * part(at10, 'oblique', 'strideLength'));
    expect(part(at20, 'oblique', 'overtrack')).toBeGreaterThan(part(at10, 'oblique', 'overtrack'));
  });

  it.each([20, -20])(
    '%i degrees cost what the same walk filmed square has less, to a quarter',
    (obliquityDeg) => {
      const oblique = filmed({ obliquityDeg });
      const less =
        average(oblique.map((c) => half(c, 'strideLengthM'))) -
        average(square.map((c) => half(c, 'strideLengthM')));
      const said = narrower(oblique, 'oblique', 'strideLength');
      expect(less).toBeGreaterThan(0.01);
      expect(Math.abs(said / less - 1)).toBeLessThan(0.25);
    },
  );
});

describe('few strides', () => {
  it('cost what the same walk with three strides has less, to a third', () => {
    const few = filmed({ strides: 2.6 });
    for (const clip of few) expect(causes(clip)).toContain('fewStrides');
    for (const [name, of] of [
      ['overtrackM', 'overtrack'],
      ['strideLengthM', 'strideLength'],
    ] as const) {
      const less = average(few.map((c) => half(c, name))) - average(square.map((c) => half(c, name)));
      expect(Math.abs(narrower(few, 'fewStrides', of) / less - 1)).toBeLessThan(1 / 3);
    }
  });
});

describe('the ground', () => {
  const drifting = (groundSdPx: number): Checked =>
    checked({}, 'given', { track: (track) => ({ ...track, groundSdPx }) });

  it('costs the more the less sure it is, and from some point on all lengths', () => {
    const [one, two] = [drifting(1), drifting(2)];
    expect(causes(one)).toEqual(['groundLost']);
    const parts = [one, two].map((c) => costOf(c, 'groundLost', 'strideLength')?.partM ?? 0);
    expect(parts[0]).toBeGreaterThan(0);
    expect(parts[1]).toBeCloseTo(2 * (parts[0] ?? 0), 2);
    const lost = drifting(10).findings.find(({ cause }) => cause === 'groundLost');
    expect(lost).toMatchObject({ refuses: true, costs: [] });
  });
});

describe('what has no term in the intervals, or refuses them', () => {
  /** The picture turned about its middle. */
  const leaning = (deg: number) => (frames: Frames) =>
    frames.map((frame): ObservedFrame => {
      const [sin, cos] = [Math.sin((deg * Math.PI) / 180), Math.cos((deg * Math.PI) / 180)];
      if (!frame.horse) return frame;
      const points = Object.entries(frame.horse.points).map(([name, p]) => {
        const [x, y] = [p.x - 960, p.y - 540];
        return [name, { ...p, x: 960 + cos * x - sin * y, y: 540 + sin * x + cos * y }];
      });
      return { ...frame, horse: { ...frame.horse, points: Object.fromEntries(points) } };
    });

  it('a picture that leans by 7 degrees is found to do so within 2, and has no cost', () => {
    for (const seed of seeds(6)) {
      for (const [deg, direction] of [
        [7, 'right'],
        [-7, 'left'],
      ] as const) {
        const { findings } = checked({ seed, direction }, 'given', { frames: leaning(deg) });
        const lean = findings.find(({ cause }) => cause === 'notLevel');
        expect(Math.abs((lean?.size?.value ?? NaN) - 7)).toBeLessThan(2);
        expect(lean?.costs).toEqual([]);
      }
    }
  });

  it('without a height at the withers there are no metres; costs are given in heights', () => {
    const clip = checked({ fps: 30 }, 'not given');
    expect(clip.findings[0]).toMatchObject({ cause: 'withersMissing', refuses: true, costs: [] });
    const cost = costOf(clip, 'fewPictures', 'overtrack');
    expect(cost?.partH).toBeGreaterThan(0);
    expect(cost?.partM).toBeNull();
  });

  it('of a pass of walk and jog nothing costs a length: none is given', () => {
    const plan = CLIPS['side-pass-jog-steps'];
    if (!plan) throw new Error('no such plan');
    const still = fromStillCamera({ ...plan, camera: { ...plan.camera, fps: 30, frames: 135 } });
    const truth = truthOf(still, () => NOTHING_HIDDEN);
    const { track, passes } = measure(observedExactly(still, truth, 1), [], truth.withersM);
    expect(passes[0]?.measures.overtrackM).toEqual({ reason: 'mixedGaits' });
    const findings = takeCheck(track, passes, { withersM: truth.withersM });
    expect(findings.map(({ cause, costs }) => [cause, costs])).toEqual([['fewPictures', []]]);
  });

  it('a path 38 degrees off has no lengths', () => {
    const clip = checked({ obliquityDeg: 38, strides: 4 });
    expect(clip.findings[0]).toMatchObject({ cause: 'oblique', refuses: true, costs: [] });
  });

  it('a near leg hidden for a second is found, and fewer prints cost something', () => {
    const hide = (frames: Frames): Frames =>
      frames.map((frame): ObservedFrame => {
        const isHidden = (name: string): boolean => name === HOOF.LF || name === FETLOCK.LF;
        if (!frame.horse || frame.timeS < 1.4 || frame.timeS > 2.6) return frame;
        const points = Object.entries(frame.horse.points).filter(([name]) => !isHidden(name));
        return { ...frame, horse: { ...frame.horse, points: Object.fromEntries(points) } };
      });
    const clip = checked({}, 'given', { frames: hide });
    expect(causes(clip)).toContain('legsHidden');
    expect(costOf(clip, 'legsHidden', 'overtrack')?.partM).toBeGreaterThan(0);
  });

  it('a path that bends is told by the change of the size', () => {
    const facts = factsOf({}, 1);
    const pass = square[0]?.passes[0];
    if (!pass) throw new Error('no pass');
    const bent = {
      ...facts.scale,
      view: { ...facts.scale.view, curve: 0.1 / (4 * facts.scale.view.heightPx) },
    };
    const found = sideFaults({ ...facts, scale: bent }, pass).find(({ cause }) => cause === 'bent');
    expect(found?.size?.value).toBeCloseTo(0.1, 9);
    expect(sideFaults(facts, pass).some(({ cause }) => cause === 'bent')).toBe(false);
  });
});

it('comes in the order of what it costs: refused, wider, narrower, unknown', () => {
  const rank = ({ refuses, costs }: Finding): number =>
    refuses ? Infinity : Math.max(-1, ...costs.map(({ narrowerH }) => narrowerH));
  for (const seed of seeds(4)) {
    const clip = checked({ seed, fps: 30, obliquityDeg: 15, strides: 2.6 }, seed % 2 ? 'given' : 'not given');
    const ranks = clip.findings.map(rank);
    expect(ranks.length).toBeGreaterThan(2);
    expect(ranks).toEqual([...ranks].sort((a, b) => b - a));
    for (const finding of clip.findings) {
      const { seen, next } = findingWords(finding, CARD);
      expect(`${seen} ${next}`).not.toMatch(/NaN|undefined|Infinity|lame|sound/);
    }
  }
});

it('of ways away and back says what falls short, without a cost', { timeout: 60_000 }, () => {
  for (const i of [1, 2]) {
    const { frames, truth } = lineClip(i);
    const track = buildTrack(frames, null, [], PICTURE);
    const pass = analyseLinePass(track, truth, null);
    const findings = takeCheck(track, [pass], { withersM: null });
    expect(findings[0]).toMatchObject({ cause: 'withersMissing', refuses: true, passKind: truth.kind });
    expect(findings.every(({ costs }) => costs.length === 0)).toBe(true);
    expect(findings.map(({ cause }) => cause)).not.toContain('oblique');
    const unseen = track.timesS.map(() => null);
    const topless = { ...track, points: { ...track.points, croup: unseen, withers: unseen } };
    expect(takeCheck(topless, [pass], { withersM: null }).map(({ cause }) => cause)).not.toContain('small');
    const pathDriftDeg = { value: 12, low: 11, high: 13, n: 4, side: 'both' } as const;
    const drifting = { ...pass, measures: { ...pass.measures, pathDriftDeg } };
    expect(takeCheck(track, [drifting], { withersM: null }).map(({ cause }) => cause)).toContain('oblique');
  }
});
