import { describe, expect, it } from 'vitest';
import { type Limb, HOOF, type PointName } from '../../src/points.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame, PointCorrection, Track } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { changePoints, PICTURE, swapLegs } from './synthetic.ts';

/** Height at the withers of the generated walk, px. */
const H = (1920 * 0.8 * 1.62) / 9;
const options = { fps: 60, strides: 3, seed: 4 };
const truth = walk(options);
const noisy = walk({ ...options, noise: 0.7 }).frames;

const at = (frames: readonly ObservedFrame[], i: number, name: PointName): { x: number; y: number } => {
  const p = frames[i]?.horse?.points[name];
  if (!p) throw new Error(`no ${name} in frame ${i}`);
  return p;
};
const offH = (track: Track, i: number, name: PointName): number => {
  const p = track.points[name][i];
  const q = at(truth.frames, i, name);
  return p ? Math.hypot(p.x - q.x, p.y - q.y) / H : NaN;
};
const correct = (i: number, point: PointName, dxH = 0, id = `${point}-${i}-${dxH}`): PointCorrection => {
  const p = at(truth.frames, i, point);
  return { kind: 'point', id, timeS: truth.frames[i]?.timeS ?? 0, point, x: p.x + dxH * H, y: p.y };
};
const build = (frames: readonly ObservedFrame[], corrections: PointCorrection[] = []): Track =>
  buildTrack(frames, null, corrections, PICTURE);

/** Frames of a limb's first whole stance in the clip. */
function stanceFrames(limb: Limb): number[] {
  const last = truth.frames.at(-1)?.timeS ?? 0;
  const stance = truth.stances.find((s) => s.limb === limb && s.onS > 0.3 && s.offS < last - 0.3);
  return truth.frames.flatMap(({ timeS }, i) =>
    stance && timeS >= stance.onS && timeS <= stance.offS ? [i] : [],
  );
}

describe('a correction', () => {
  const hoof = HOOF.LH;
  const stance = stanceFrames('LH');
  const middle = stance[stance.length >> 1] ?? 0;
  const wrong = changePoints(noisy, (name, p, i) =>
    name === hoof && stance.includes(i) ? { ...p, x: p.x + 0.05 * H } : p,
  );

  it('pulls the whole stance over when the network is off all through it, and nothing else', () => {
    const before = build(wrong);
    const after = build(wrong, [correct(middle, hoof)]);
    expect(offH(before, middle, hoof)).toBeGreaterThan(0.045);
    expect(offH(after, middle, hoof)).toBeLessThan(0.003);
    const early = stance[Math.floor(0.25 * stance.length)] ?? 0;
    const late = stance[Math.floor(0.75 * stance.length)] ?? 0;
    for (const i of [early, late]) {
      expect(offH(before, i, hoof)).toBeGreaterThan(0.04);
      expect(offH(after, i, hoof)).toBeLessThan(0.02);
    }
    const far = middle + 60;
    expect(Math.abs(offH(after, far, hoof) - offH(before, far, hoof))).toBeLessThan(0.002);
    for (const name of [HOOF.RF, HOOF.LF, 'withers', 'poll'] as const) {
      expect(after.points[name]).toEqual(before.points[name]);
    }
    expect(after.points[hoof][middle]).toMatchObject({ source: 'hand', score: 1 });
  });

  it('fades away from where it was made', () => {
    const after = build(wrong, [correct(middle, hoof)]);
    const left = stance
      .filter((i) => i >= middle && i < (stance.at(-1) ?? 0) - 5)
      .map((i) => offH(after, i, hoof));
    const [near, far] = [left.slice(0, 4), left.slice(-4)].map((list) => list.reduce((a, b) => a + b, 0) / 4);
    expect(near).toBeLessThan(far ?? 0);
  });

  it('changes little where the network was right all along', () => {
    const before = build(noisy);
    const after = build(noisy, [correct(middle, hoof)]);
    for (const i of stance) {
      const [p, q] = [before.points[hoof][i], after.points[hoof][i]];
      if (p && q) expect(Math.hypot(p.x - q.x, p.y - q.y) / H).toBeLessThan(0.008);
    }
    expect(offH(after, middle, hoof)).toBeLessThan(0.003);
  });

  it('puts one wild frame right without moving its neighbours', () => {
    const wild = changePoints(noisy, (name, p, i) =>
      name === hoof && i === middle ? { ...p, x: p.x - 0.3 * H } : p,
    );
    const after = build(wild, [correct(middle, hoof)]);
    for (let i = middle - 3; i <= middle + 3; i++) expect(offH(after, i, hoof)).toBeLessThan(0.012);
  });

  it('gives a point where the network saw none', () => {
    const blind = changePoints(noisy, (name, p, i) =>
      name === hoof && Math.abs(i - middle) < 45 ? null : p,
    );
    const after = build(blind, [correct(middle, hoof)]);
    expect(build(blind).points[hoof][middle]).toBeNull();
    expect(after.points[hoof][middle]?.source).toBe('hand');
    expect(offH(after, middle, hoof)).toBeLessThan(0.002);
  });

  it('in swing stays near its frame', () => {
    const swing = (stance.at(-1) ?? 0) + 12;
    const after = build(noisy, [correct(swing, hoof, 0.06)]);
    const before = build(noisy);
    const moved = (i: number): number =>
      ((after.points[hoof][i]?.x ?? NaN) - (before.points[hoof][i]?.x ?? NaN)) / H;
    expect(moved(swing)).toBeGreaterThan(0.05);
    expect(moved(swing + 2)).toBeGreaterThan(0.01);
    expect(Math.abs(moved(swing + 24))).toBeLessThan(0.01);
  });

  it('turns a run of swapped legs over as a whole', () => {
    // All of the hind legs exchanged for the whole clip: only the hand can know.
    const { frames } = swapLegs(noisy, 1, 1, 60);
    const names = changePoints(frames, (_, p) => p).map((f) =>
      f.horse ? { ...f, horse: { ...f.horse, view: 'away' } } : f,
    );
    const blind = changePoints(names, (name, p) => (name === 'muzzle' || name === 'tailhead' ? null : p));
    const fix = [middle - 20, middle, middle + 20].map((i) => correct(i, hoof));
    const after = build(blind, fix);
    const right = stance.filter((i) => offH(after, i, hoof) < 0.03).length / stance.length;
    expect(right).toBeGreaterThan(0.95);
  });
});

describe('several corrections', () => {
  const hoof = HOOF.LF;
  const stance = stanceFrames('LF');
  const middle = stance[stance.length >> 1] ?? 0;

  it('of one frame: the last one counts', () => {
    const both = build(noisy, [correct(middle, hoof, 0.1, 'a'), correct(middle, hoof, -0.04, 'b')]);
    expect(both).toEqual(build(noisy, [correct(middle, hoof, -0.04, 'b')]));
  });

  it('that disagree a few frames apart: each holds in its own frame, and the path goes from one to the other', () => {
    const track = build(noisy, [correct(middle, hoof, -0.03), correct(middle + 6, hoof, 0.03)]);
    const x = (i: number): number => ((track.points[hoof][i]?.x ?? NaN) - at(truth.frames, i, hoof).x) / H;
    expect(Math.abs(x(middle) + 0.03)).toBeLessThan(0.006);
    expect(Math.abs(x(middle + 6) - 0.03)).toBeLessThan(0.006);
    expect(x(middle + 3)).toBeGreaterThan(x(middle));
    expect(x(middle + 3)).toBeLessThan(x(middle + 6));
  });

  it('taken away leave the track as it was', () => {
    const before = JSON.stringify(build(noisy));
    build(noisy, [correct(middle, hoof, 0.1)]);
    expect(JSON.stringify(build(noisy))).toBe(before);
  });
});
