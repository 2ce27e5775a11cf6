import { describe, expect, it } from 'vitest';
import { LIMBS, POINT_NAMES } from '../../src/points.ts';
import { analyseTrack, findSidePasses } from '../../src/gait/index.ts';
import { isMeasured } from '../../src/gait/interval.ts';
import { MEASURE_NAMES, type Measure } from '../../src/gait/types.ts';
import { REASONS } from '../../src/gait/reasons.ts';
import type { Track } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { analysed, value } from './support.ts';

/** Two tracks one after the other, with a pause in which the horse is turned away. */
function joined(a: Track, b: Track, pauseS: number): Track {
  const startS = (a.timesS.at(-1) ?? 0) + pauseS - (b.timesS[0] ?? 0);
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => [name, [...a.points[name], null, ...b.points[name]]]),
  ) as unknown as Track['points'];
  return {
    ...a,
    timesS: [...a.timesS, (a.timesS.at(-1) ?? 0) + pauseS / 2, ...b.timesS.map((t) => t + startS)],
    points,
    toStill: [...a.toStill, { a: 1, b: 0, tx: 0, ty: 0 }, ...b.toStill],
    seenSide: [...a.seenSide, null, ...b.seenSide],
  };
}

describe('side passes', () => {
  it('finds there and back, with direction and side', () => {
    const track = joined(walk({ direction: 'left' }).track, walk({ direction: 'right', seed: 2 }).track, 2);
    const passes = findSidePasses(track);
    expect(passes.map((p) => [p.direction, p.nearSide])).toEqual([
      ['left', 'left'],
      ['right', 'right'],
    ]);
    expect(analyseTrack(track, { withersM: 1.62 }).map((p) => isMeasured(p.measures.overtrackM))).toEqual([
      true,
      true,
    ]);
  });
  it('finds none in a horse that stands, backs, or is never seen from the side', () => {
    const { track } = walk({ noise: 1 });
    const standing = Object.fromEntries(
      POINT_NAMES.map((name) => [name, track.points[name].map(() => track.points[name][0] ?? null)]),
    ) as unknown as Track['points'];
    expect(findSidePasses({ ...track, points: standing })).toEqual([]);
    const turned = track.seenSide.map(() => 'right' as const);
    expect(findSidePasses({ ...track, seenSide: turned })).toEqual([]);
    expect(findSidePasses({ ...track, seenSide: track.seenSide.map(() => null) })).toEqual([]);
  });
  it('is not cut by single frames with the wrong side', () => {
    const { track } = walk();
    const seenSide = track.seenSide.map((s, i) => (i % 9 === 4 ? ('right' as const) : s));
    expect(findSidePasses({ ...track, seenSide })).toHaveLength(1);
  });
});

const reasonOf = (m: Measure): string => (isMeasured(m) ? 'measured' : m.reason);

describe('what cannot be measured has a reason', () => {
  it('no withers height: no metres, but times, and lengths in withers heights', () => {
    const made = walk();
    const pass = analyseTrack(made.track, { withersM: null })[0];
    expect(pass && reasonOf(pass.measures.strideLengthM)).toBe('withersHeightMissing');
    expect(pass && reasonOf(pass.measures.froude)).toBe('withersHeightMissing');
    expect(pass && value(pass.measures.strideDurationS).value).toBeCloseTo(made.options.strideDurationS, 2);
    expect(pass && value(pass.inWithersHeights.strideLengthH).value).toBeCloseTo(1.75 / 1.62, 2);
    expect(pass && value(pass.inWithersHeights.overtrackH).value).toBeCloseTo(0.12 / 1.62, 2);
    expect(pass?.stances.every((s) => s.printM === null)).toBe(true);
  });
  it('a path of 45 degrees: no lengths, but times', () => {
    const { pass } = analysed({ obliquityDeg: 45, distanceM: 12, strides: 3 });
    expect(reasonOf(pass.measures.strideLengthM)).toBe('tooOblique');
    expect(pass.overtracks.map(({ m }) => m)).toEqual(pass.overtracks.map(() => null));
    expect(pass.overtracks.length).toBeGreaterThan(0);
    expect(pass.warnings).toContain('tooOblique');
    expect(isMeasured(pass.measures.strideDurationS)).toBe(true);
  });
  it('a path of 20 degrees: lengths stay right, and a warning', () => {
    const { pass, walk: made } = analysed({ obliquityDeg: 20, distanceM: 11, strides: 3 });
    const length = value(pass.measures.strideLengthM);
    expect(pass.warnings).toContain('oblique');
    expect(Math.abs(length.value / made.options.strideLengthM - 1)).toBeLessThan(0.04);
    expect(length.low).toBeLessThan(made.options.strideLengthM);
    expect(length.high).toBeGreaterThan(made.options.strideLengthM);
  });
  it('ground that was lost: wide intervals first, then none', () => {
    const { track, options } = walk();
    const withSd = (groundSdPx: number) =>
      analyseTrack({ ...track, groundSdPx }, { withersM: options.withersM })[0];
    const [still, some, much] = [withSd(0), withSd(1), withSd(6)];
    const width = (m: Measure | undefined): number => (m && isMeasured(m) ? m.high - m.low : Number.NaN);
    expect(width(some?.measures.strideLengthM)).toBeGreaterThan(width(still?.measures.strideLengthM));
    expect(some?.warnings).toContain('groundUnsure');
    expect(much && reasonOf(much.measures.strideLengthM)).toBe('groundUnsure');
    expect(much && isMeasured(much.measures.strideDurationS)).toBe(true);
  });
  it('a diagonal beat is not a walk', () => {
    const { pass } = analysed({ lag: 0.5, dutyFore: 0.5, dutyHind: 0.5, strideDurationS: 0.8 });
    expect(pass.warnings).toContain('notAWalk');
    expect(value(pass.measures.lateralLagFraction).value).toBeCloseTo(0.5, 1);
    expect(analysed().pass.warnings).toEqual([]);
  });
  it('seen from the right, no landing of the left hind: nothing to count phases from, and a stride all the same', () => {
    const { track, options } = walk({ direction: 'right', strides: 3 });
    const { left_hind_hoof: hoof, left_hind_fetlock: fetlock, croup } = track.points;
    const adrift = (points: typeof hoof) =>
      points.map((p, i) => p && { ...p, x: croup[i]?.x ?? p.x, vx: croup[i]?.vx ?? p.vx });
    const points = { ...track.points, left_hind_hoof: adrift(hoof), left_hind_fetlock: adrift(fetlock) };
    const [pass] = analyseTrack({ ...track, points }, { withersM: options.withersM });
    expect(pass && isMeasured(pass.measures.strideDurationS)).toBe(true);
    for (const limb of LIMBS)
      expect(pass?.measures.limbPhaseFraction[limb]).toEqual({ reason: 'hoofHidden' });
  });
  it('less than a stride: a reason, and the speed still', () => {
    const { pass } = analysed({ strides: 0.6 });
    expect(reasonOf(pass.measures.overtrackM)).toBe('tooFewStrides');
    expect(value(pass.measures.speedMps).value / 1.5625).toBeCloseTo(1, 1);
  });
  it('hidden near hooves: the far side, by name, with a wider interval', () => {
    const { track } = walk({ noise: 1 });
    const hidden = Object.fromEntries(
      POINT_NAMES.map((name) => [
        name,
        name.startsWith('left_') ? track.points[name].map(() => null) : track.points[name],
      ]),
    ) as unknown as Track['points'];
    const near = analyseTrack(track, { withersM: 1.62 })[0]?.measures;
    const far = analyseTrack({ ...track, points: hidden }, { withersM: 1.62 })[0]?.measures;
    if (!near || !far) throw new Error('no pass');
    for (const name of ['overtrackM', 'strideLengthM', 'lateralLagFraction'] as const) {
      const [a, b] = [value(near[name]), value(far[name])];
      expect([a.side, b.side]).toEqual(['left', 'right']);
      expect(b.high - b.low).toBeGreaterThan(a.high - a.low);
    }
    expect(value(far.overtrackM).value).toBeCloseTo(0.12, 1);
  });
  it('a picture every 0.2 s: too few to time hooves, and it says so', () => {
    const { pass } = analysed({ fps: 5 });
    expect(pass.warnings).toContain('tooFewFrames');
  });
  it('uses only reasons of the closed set', () => {
    for (const strides of [0.7, 1.2, 2]) {
      const { pass } = analysed({ strides, fps: 15, noise: 1, dropOut: 0.4 });
      for (const name of MEASURE_NAMES) {
        const m = pass.measures[name];
        if (!isMeasured(m)) expect(Object.keys(REASONS)).toContain(m.reason);
      }
    }
  });
});

describe('a camera that is not as assumed', () => {
  it('looks down by 6 degrees from near: stride length = speed x duration still, and near the truth', () => {
    const { pass, walk: made } = analysed({
      tiltDeg: 6,
      distanceM: 6,
      cameraHeightM: 1.7,
      strides: 3,
      fps: 60,
    });
    const m = pass.measures;
    const length = value(m.strideLengthM).value;
    expect(Math.abs(length / (value(m.speedMps).value * value(m.strideDurationS).value) - 1)).toBeLessThan(
      0.01,
    );
    expect(Math.abs(length / made.options.strideLengthM - 1)).toBeLessThan(0.02);
  });
  it('has another focal length: wrong by little, and right where it is told', () => {
    const made = walk({ focalShare: 0.5, obliquityDeg: 15, distanceM: 6, strides: 3 });
    const lengthWith = (focalShare?: number): number => {
      const options = { withersM: 1.62, ...(focalShare === undefined ? {} : { focalShare }) };
      const pass = analyseTrack(made.track, options)[0];
      if (!pass) throw new Error('no pass');
      return value(pass.measures.strideLengthM).value / made.options.strideLengthM;
    };
    expect(Math.abs(lengthWith(0.5) - 1)).toBeLessThan(0.015);
    expect(Math.abs(lengthWith() - 1)).toBeGreaterThan(Math.abs(lengthWith(0.5) - 1));
    expect(Math.abs(lengthWith() - 1)).toBeLessThan(0.06);
  });
  it('followed the horse: the same values, less sure lengths', () => {
    const { track } = walk({ noise: 1 });
    const last = track.timesS.length - 1;
    // Half-way it looks where the still camera looks: the middle of the picture is the same, on the mean.
    const panned = { ...track, toStill: track.toStill.map((m, i) => ({ ...m, tx: 450 - (900 * i) / last })) };
    const [still, moved] = [track, panned].map((t) => analyseTrack(t, { withersM: 1.62 })[0]?.measures);
    if (!still || !moved) throw new Error('no pass');
    const [a, b] = [value(still.strideLengthM), value(moved.strideLengthM)];
    expect(b.value).toBeCloseTo(a.value, 9);
    expect(b.high - b.low).toBeGreaterThan(a.high - a.low);
    expect(moved.strideDurationS).toEqual(still.strideDurationS);
  });
});

describe('seen from the right with the left hind hidden', () => {
  it('there is nothing to count phases from: a reason, and the lag of the near side all the same', () => {
    const { track } = walk({ direction: 'right', noise: 1 });
    const hidden = Object.fromEntries(
      POINT_NAMES.map((name) => [
        name,
        name.startsWith('left_hind') ? track.points[name].map(() => null) : track.points[name],
      ]),
    ) as unknown as Track['points'];
    const measuresOf = (t: Track) => analyseTrack(t, { withersM: 1.62 })[0]?.measures;
    const [all, some] = [measuresOf(track), measuresOf({ ...track, points: hidden })];
    if (!all || !some) throw new Error('no pass');
    for (const limb of LIMBS) {
      expect(isMeasured(all.limbPhaseFraction[limb]), limb).toBe(true);
      expect(some.limbPhaseFraction[limb], limb).toEqual({ reason: 'hoofHidden' });
    }
    expect(value(some.lateralLagFraction).value).toBeCloseTo(0.24, 1);
  });
});

it.each([Number.NaN, 0, -1])('a withers height of %f counts as none', (withersM) => {
  const pass = analyseTrack(walk().track, { withersM })[0];
  expect(pass && reasonOf(pass.measures.strideLengthM)).toBe('withersHeightMissing');
});

describe('a single stride', () => {
  it('has the interval of the usual variation within a horse (Drevemo et al. 1980: 2 - 5 %)', () => {
    const { pass, walk: made } = analysed({ strides: 1.75, noise: 1, fps: 60, strideLengthM: 1.6 });
    const length = value(pass.measures.strideLengthM);
    expect(length.n).toBe(1);
    const half = (length.high - length.low) / 2 / length.value;
    expect(half).toBeGreaterThan(1.96 * 0.02);
    expect(half).toBeLessThan(2.45 * 0.07);
    expect(Math.abs(length.value / made.options.strideLengthM - 1)).toBeLessThan(0.03);
  });
});
