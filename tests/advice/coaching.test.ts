/** Moments to lead better, on walks with planned faults and the noise of real points (check 34: Niknejad et al. 2023, J ASABE 66:865). */
import { describe, expect, it } from 'vitest';
import { coaching, isLookedAt, passCoaching } from '../../src/advice/coaching.ts';
import { usualHandler } from '../../src/advice/leading.ts';
import { handful, type Found, type Moment } from '../../src/advice/moments.ts';
import { paceChanges } from '../../src/advice/pace.ts';
import type { LedFrame } from '../../src/gait/handlerPlace.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import { analyseLinePass } from '../../src/gait/linePass.ts';
import { measure } from '../../src/pipeline.ts';
import { HOOF } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import { fromStillCamera, NOTHING_HIDDEN, observedExactly } from '../accuracy/exact.ts';
import { seeds } from '../gait/support.ts';
import { lineClip, PICTURE } from '../gait/lineClips.ts';
import { numbers, walk } from '../support/kinematic.ts';
import { bodyOf } from '../support/kinematicLaws.ts';
import { CLIPS } from '../truth/plans.ts';
import { truthOf } from '../truth/truth.ts';
import { coachedWalk, ledBy, plainWalk } from './support.ts';

const NEAR_S = 0.3;
/** How far a time lies from a moment, s. */
const offS = ({ startS, endS }: Moment, timeS: number): number => Math.max(startS - timeS, timeS - endS, 0);
const kindsOf = (moments: readonly Moment[]): string[] => moments.map(({ kind }) => kind);

describe('a side pass', () => {
  it('nothing is found in 30 plain walks', () => {
    expect(seeds(30).flatMap((seed) => coachedWalk(plainWalk(seed)).moments)).toEqual([]);
  });

  it('a head carried high for two seconds is found, from its start to its end', () => {
    for (const seed of seeds(10)) {
      const headUp = { fromS: 2, toS: 4, byM: 0.35 };
      const { moments } = coachedWalk({ ...plainWalk(seed), headAboveM: 0, headUp });
      expect(kindsOf(moments)).toEqual(['headHigh']);
      expect(Math.abs((moments[0]?.startS ?? NaN) - headUp.fromS)).toBeLessThan(NEAR_S);
      expect(Math.abs((moments[0]?.endS ?? NaN) - headUp.toS)).toBeLessThan(NEAR_S);
    }
  });

  it('of a course has none of what lies in the turn beside it, though that was measured too', () => {
    const options = { ...plainWalk(1), headAboveM: 0, headUp: { fromS: 2, toS: 4, byM: 0.35 } };
    const { made, track } = coachedWalk(options);
    const [pass] = analyseTrack(track, { withersM: null });
    if (!pass) throw new Error('no pass');
    const from = (startS: number): string[] => {
      const one = { kind: 'side', direction: pass.direction, startS, endS: pass.endS, pass } as const;
      return kindsOf(passCoaching(ledBy(made.frames), track, one));
    };
    expect(from(2.5)).toEqual(['headHigh']);
    expect(from(3.6)).toEqual([]);
  });

  it('of a course has its own moments, however many longer ones lie in the turn beside it', () => {
    const { made, track } = coachedWalk(plainWalk(1));
    const [found] = analyseTrack(track, { withersM: null });
    if (!found) throw new Error('no pass');
    // High for two of four seconds, six times; then for one second.
    const isHigh = (timeS: number): boolean => (timeS < 24 ? timeS % 4 < 2 : timeS > 26 && timeS < 27.2);
    const headH = Array.from({ length: 1450 }, (_, i) => {
      const timeS = i / 50;
      return { timeS, poll: isHigh(timeS) ? 1.4 : 1, withers: 1, croup: null };
    });
    const pass = { ...found, stances: [], headH, startS: 0, endS: 29 };
    const own = passCoaching(ledBy(made.frames), track, { ...pass, startS: 25, pass });
    expect(kindsOf(own)).toEqual(['headHigh']);
    expect(own[0] && offS(own[0], 26.6)).toBe(0);
  });

  it('was looked at only where its strides or its head were measured', () => {
    const [pass] = analyseTrack(coachedWalk(plainWalk(1)).track, { withersM: null });
    if (!pass) throw new Error('no pass');
    const looked = (some: Partial<typeof pass> | null): boolean =>
      isLookedAt({ ...pass, pass: some && { ...pass, ...some } });
    const measures = { ...pass.measures, strideDurationS: { reason: 'tooFewStrides' } } as const;
    expect([looked({}), looked({ headH: [] }), looked({ measures })]).toEqual([true, true, true]);
    expect([looked({ measures, headH: [] }), looked(null)]).toEqual([false, false]);
  });

  it.each([
    ['quicker strides', { lasts: 0.8, reaches: 1 }, 1],
    ['slower strides', { lasts: 1.25, reaches: 1 }, -1],
    ['shorter, slower strides', { lasts: 1.2, reaches: 0.9 }, -1],
  ])('a change to %s is found where it is', (_, change, way) => {
    for (const seed of seeds(10)) {
      const { moments, made } = coachedWalk({ ...plainWalk(seed), paceChange: { stride: 3, ...change } });
      // Three strides before the pictures are laid out first.
      const changedS = bodyOf(made.options, numbers(made.options.seed)).t[6] ?? NaN;
      expect(kindsOf(moments)).toEqual(['paceChange']);
      for (const moment of moments) {
        expect(offS(moment, changedS)).toBeLessThan(NEAR_S);
        expect(Math.sign(moment.size.value)).toBe(way);
      }
    }
  });

  it('a hoof that was mistaken for a stance makes no change of pace', () => {
    for (const seed of seeds(10)) {
      const { track } = coachedWalk({ ...plainWalk(seed), strideCv: 0 });
      const [pass] = analyseTrack(track, { withersM: null });
      const fores =
        pass?.stances.filter(({ limb }) => limb === (pass.nearSide === 'left' ? 'LF' : 'RF')) ?? [];
      const mistaken = fores[2];
      if (!pass || !mistaken) throw new Error('no stance');
      const later = (s: number | null): number | null => s && s + 0.3;
      const stances = pass.stances.map((s) =>
        s === mistaken ? { ...s, onS: later(s.onS), offS: later(s.offS) } : s,
      );
      expect(paceChanges({ ...pass, stances })).toEqual([]);
    }
  });

  it('strides jogged by a drawn horse are found as a jog, and as nothing else', () => {
    const plan = CLIPS['side-pass-jog-steps'];
    if (!plan || !('walk' in plan.going)) throw new Error('no such plan');
    const still = fromStillCamera(plan);
    const truth = truthOf(still, () => NOTHING_HIDDEN);
    for (const seed of seeds(5)) {
      const seen = observedExactly(still, truth, seed);
      const { track, passes } = measure(seen, [], truth.withersM);
      const moments = coaching(ledBy(seen.frames), track, passes).filter(({ kind }) => kind !== 'headHigh');
      expect(kindsOf(moments)).toEqual(['jog']);
      // Strides 1 and 2 are jogged; of 0 and 2, which lead into it and out of it, half.
      const landings = truth.stances.filter(({ limb }) => limb === 'RH').sort((a, b) => a.onS - b.onS);
      const landing = (stride: number): number => landings.find((s) => s.stride === stride)?.onS ?? NaN;
      const [jog] = moments;
      expect(jog && offS(jog, (landing(1) + landing(2)) / 2)).toBeLessThan(NEAR_S);
      expect(jog?.startS).toBeGreaterThan(landing(0) - NEAR_S);
      expect(jog?.endS).toBeLessThan(landing(3) + NEAR_S);
    }
  });
});

/** The feet of a handler so far ahead of the shoulder, in lengths of the trunk, with steps to and fro. */
const feetAt =
  (ahead: (timeS: number) => number) =>
  (frame: LedFrame): LedFrame => {
    const { point_of_shoulder: shoulder, tailhead, withers } = frame.horse?.points ?? {};
    if (!shoulder || !tailhead || !withers) return frame;
    const trunk = shoulder.x - tailhead.x;
    const step = 0.25 * Math.sin(2 * Math.PI * frame.timeS);
    const x = shoulder.x + ahead(frame.timeS) * trunk;
    const feet = [x + step * trunk, x - step * trunk].map((at) => ({ x: at, y: shoulder.y }));
    return { ...frame, handlerFeet: feet };
  };

describe('a handler', () => {
  const walked = (ahead: (timeS: number) => number, seed: number) => {
    const frames: LedFrame[] = [];
    const walk = coachedWalk({ ...plainWalk(seed), strides: 4 }, (seen) => {
      frames.push(...ledBy(seen).map(feetAt(ahead)));
      return frames;
    });
    return { ...walk, frames };
  };
  const led = (ahead: (timeS: number) => number, seed: number): Moment[] => walked(ahead, seed).moments;

  it('beside the shoulder is not in front of it', () => {
    expect(seeds(8).flatMap((seed) => led(() => 0.05, seed))).toEqual([]);
  });

  it('who goes in front of the shoulder is found there, and only then', () => {
    for (const seed of seeds(8)) {
      const moments = led((timeS) => (timeS > 2 ? 0.6 : 0), seed);
      expect(kindsOf(moments)).toEqual(['handlerAhead']);
      expect(Math.abs((moments[0]?.startS ?? NaN) - 2)).toBeLessThan(NEAR_S);
    }
  });

  it.each([0, 0.1, 0.25, 0.3, 0.35, 0.4, 0.5, 0.6, 0.8])(
    'at %d of the trunk in front is usually in front where the moments in front fill most of the pass',
    (ahead) => {
      for (const seed of seeds(3)) {
        const { track, moments, frames } = walked(() => ahead, seed);
        const [pass] = analyseTrack(track, { withersM: null });
        if (!pass) throw new Error('no pass');
        const { kind, direction, startS, endS } = pass;
        const usual = usualHandler(frames, track, { kind, direction, startS, endS, pass });
        const inFront = moments.reduce((sum, one) => sum + one.endS - one.startS, 0) / (endS - startS);
        if (Math.abs(inFront - 0.5) > 0.05)
          expect(usual?.place).toBe(inFront > 0.5 ? 'ahead' : 'at the shoulder');
        if (ahead < 0.2) expect(inFront).toBe(0);
        if (ahead > 0.5) expect(inFront).toBeGreaterThan(0.5);
      }
    },
  );

  it('behind the shoulder is usually there, and no moment says anything of it', () => {
    const { track, moments, frames } = walked((timeS) => (timeS < 2 ? 0 : -0.7), 1);
    const [pass] = analyseTrack(track, { withersM: null });
    if (!pass) throw new Error('no pass');
    const one = { ...pass, pass };
    const late = usualHandler(frames, track, { ...one, startS: 2.5 });
    expect(late).toMatchObject({ place: 'behind', share: 1 });
    expect(late?.frames).toBe(frames.filter(({ timeS }) => timeS >= 2.5 && timeS <= pass.endS).length);
    expect(usualHandler(frames, track, { ...one, endS: 1.5 })?.place).toBe('at the shoulder');
    expect(usualHandler(ledBy(frames), track, one)).toBeNull();
    expect(usualHandler(frames, track, { ...one, pass: null })).toBeNull();
    expect(moments).toEqual([]);
  });

  it('who hides the near fore leg for half a second is found there', () => {
    for (const seed of seeds(8)) {
      const hide = (frame: LedFrame): LedFrame => {
        const inWay = frame.timeS >= 2 && frame.timeS < 2.5;
        if (!inWay || !frame.horse) return frame;
        const near = plainWalk(seed).direction === 'left' ? HOOF.LF : HOOF.RF;
        const points = Object.fromEntries(
          Object.entries(frame.horse.points).filter(([name]) => name !== near),
        );
        return { ...frame, horse: { ...frame.horse, points } };
      };
      const { moments } = coachedWalk({ ...plainWalk(seed), strides: 4 }, (frames) =>
        ledBy(frames)
          .map(feetAt(() => -0.1))
          .map(hide),
      );
      expect(kindsOf(moments)).toEqual(['legsHidden']);
      expect(moments[0] && offS(moments[0], 2.25)).toBeLessThan(NEAR_S);
    }
  });

  it('is not blamed for a leg that is hidden while nobody stands there', () => {
    const { moments } = coachedWalk({ ...plainWalk(1), strides: 4, dropOut: 0.4 });
    expect(moments).toEqual([]);
  });
});

describe('a way away or back', () => {
  const FROM_S = 2;
  const TO_S = 3.5;
  /** A head that is turned for a while: frames of one walk with the head straight, and of the same with it turned. */
  function coached(
    i: number,
    headTurnDeg: number,
    feetRightPx?: number,
  ): { moments: Moment[]; kind: string } {
    const clip = (turn: number) => lineClip(i, { headTurnDeg: turn, headSwayDeg: 2 });
    const straight = clip(0);
    const turned = headTurnDeg === 0 ? straight : clip(headTurnDeg);
    const frames = ledBy(straight.frames)
      .map((frame, k) =>
        frame.timeS >= FROM_S && frame.timeS < TO_S ? (ledBy(turned.frames)[k] ?? frame) : frame,
      )
      .map((frame): LedFrame => {
        const { croup } = frame.horse?.points ?? {};
        const feet = croup && feetRightPx !== undefined ? [{ x: croup.x + feetRightPx, y: croup.y }] : [];
        return { ...frame, handlerFeet: feet };
      });
    const track = buildTrack(frames, null, [], PICTURE);
    return { moments: coaching(frames, track, [straight.truth]), kind: straight.truth.kind };
  }

  it('was looked at only where its line was found', () => {
    const { frames, truth } = lineClip(1);
    const pass = analyseLinePass(buildTrack(frames, null, [], PICTURE), truth, null);
    const measures = { ...pass.measures, pathDriftDeg: { reason: 'tooFewStrides' } } as const;
    expect(isLookedAt({ ...pass, pass })).toBe(true);
    expect(isLookedAt({ ...pass, pass: { ...pass, measures } })).toBe(false);
  });

  it('a head that only sways is not turned, however the horse wavers', { timeout: 120_000 }, () => {
    expect(seeds(10).flatMap((i) => coached(i, 0).moments)).toEqual([]);
  });

  it('a head turned by 12 degrees for 1.5 s is found, and to which side', { timeout: 120_000 }, () => {
    for (const [i, deg] of [
      [1, 12],
      [2, -12],
      [3, -12],
      [6, 12],
    ] as const) {
      const { moments, kind } = coached(i, deg, 60);
      expect(kindsOf(moments)).toEqual(['headTurned']);
      const [moment] = moments;
      expect(Math.abs((moment?.startS ?? NaN) - FROM_S)).toBeLessThan(NEAR_S);
      expect(Math.abs((moment?.endS ?? NaN) - TO_S)).toBeLessThan(NEAR_S);
      expect(Math.sign(moment?.size.value ?? NaN)).toBe(Math.sign(deg));
      // Feet to the right in the picture are on the right of a horse that goes away, on the left of one that comes.
      expect(moment?.handlerSide).toBe(kind === 'away' ? 'right' : 'left');
    }
  });
});

describe('the moments of a pass', () => {
  const at = (startS: number, lasts: number, value = 0.2): Found => ({
    ...{ kind: 'headHigh', startS, endS: startS + lasts },
    size: { value, sd: 0.02 },
  });

  it('are joined where they are near to each other and alike, with the larger size', () => {
    const [one, ...others] = handful([at(1.2, 1, 0.3), at(0, 1)], 3);
    expect(one).toEqual({ ...at(0, 2.2, 0.3), pass: 3 });
    expect(others).toEqual([]);
    expect(handful([at(0, 1), { ...at(1.2, 1), kind: 'jog' }], 0)).toHaveLength(2);
    expect(handful([at(0, 1, 0.2), at(1.2, 1, -0.2)], 0)).toHaveLength(2);
  });

  it('are no more than a handful, the longest, in order of time', () => {
    const lasts = [1, 0.7, 1.5, 0.8, 1.2, 0.9, 1.1];
    const kept = handful(
      lasts.map((s, i) => at(4 * i, s)),
      0,
    );
    expect(kept.map(({ startS }) => startS)).toEqual([0, 8, 16, 20, 24]);
  });

  it('come in the order of the passes, and none of a stand', () => {
    const made = walk({ ...plainWalk(3), headAboveM: 0.4 });
    const frames = ledBy(made.frames);
    const track = buildTrack(frames, null, [], { widthPx: 1920, heightPx: 1080 });
    const [pass] = analyseTrack(track, { withersM: null });
    if (!pass) throw new Error('no pass');
    const moments = coaching(frames, track, [{ kind: 'stand', startS: 0, endS: 1 }, pass, pass]);
    expect(moments.map((m) => [m.kind, m.pass])).toEqual([
      ['headHigh', 1],
      ['headHigh', 2],
    ]);
  });
});
