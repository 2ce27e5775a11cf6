/** The true values of passes away, back and standing, against plans, exact maths and another library. */
import { Matrix, SVD } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import { LIMBS, POINT_NAMES, type PointName } from '../../src/points.ts';
import { radians } from './curves.ts';
import type { WalkPlan } from './gait.ts';
import type { PathPlan } from './path.ts';
import { CLIPS, type ClipPlan } from './plans.ts';
import type { StandPlan } from './stand.ts';
import { straightLine, type TrueLinePass } from './trueLine.ts';
import type { TruePass } from './trueMeasures.ts';
import type { TrueStand } from './trueStand.ts';
import { spansOf } from './spans.ts';
import { truthOf, type TruthFrame } from './truth.ts';

const planOf = (name: string): ClipPlan => {
  const plan = CLIPS[name];
  if (!plan) throw new Error(`no plan for ${name}`);
  return plan;
};
const nothingHidden = Object.fromEntries(POINT_NAMES.map((n) => [n, false])) as Record<PointName, boolean>;
const passesOf = (plan: ClipPlan): readonly TruePass[] => truthOf(plan, () => nothingHidden).passes;

const triangle = planOf('triangle');
const walk = (triangle.going as { walk: WalkPlan }).walk;

/** The triangle's walk on a path of its own, before a camera that stands at y = -9 and looks along the yard's y. */
function lineOn(path: Partial<PathPlan>, change: Partial<WalkPlan> = {}): TrueLinePass {
  const plan: ClipPlan = {
    ...triangle,
    going: { walk: { ...walk, startM: 0, ...change } },
    path: { ...triangle.path, legs: [], wander: [], ...path },
    camera: { ...triangle.camera, headingDeg: 90, follow: false, shakeDeg: 0, shakeM: 0, frames: 130 },
  };
  const [pass] = passesOf(plan);
  if (pass?.kind !== 'away' && pass?.kind !== 'towards') throw new Error(`a pass of kind ${pass?.kind}`);
  return pass;
}
const away = (change: Partial<WalkPlan> = {}): TrueLinePass =>
  lineOn({ fromM: [0, -4], headingDeg: 93 }, change);

describe('the straightest line', () => {
  const degrees = (rad: number): number => (rad * 180) / Math.PI;
  it("is Pearson's through his ten points (1901, Phil Mag 2:559; points and slope -0.546 from memory)", () => {
    const x = [0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4];
    const y = [5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5];
    const line = straightLine(x.map((at, i) => [at, y[i] ?? 0, 0]));
    expect(Math.tan(line.headingRad)).toBeCloseTo(-0.546, 3);
  });
  it('is the main direction of a singular value decomposition (ml-matrix), whichever way it is walked', () => {
    const places = Array.from(
      { length: 40 },
      (_, i) => [2 + 0.31 * i, 5 - 0.2 * i + Math.sin(i), 0] as const,
    );
    const mean = (k: 0 | 1): number => places.reduce((s, p) => s + p[k], 0) / places.length;
    const svd = new SVD(new Matrix(places.map((p) => [p[0] - mean(0), p[1] - mean(1)])));
    const [u, v] = [svd.rightSingularVectors.get(0, 0), svd.rightSingularVectors.get(1, 0)];
    const there = straightLine(places);
    const back = straightLine([...places].reverse());
    expect(Math.tan(there.headingRad)).toBeCloseTo(v / u, 9);
    expect(there.rmsM).toBeCloseTo((svd.diagonal[1] ?? NaN) / Math.sqrt(places.length), 9);
    expect(Math.abs(degrees(there.headingRad - back.headingRad))).toBeCloseTo(180, 6);
  });
});

describe('a pass away or back', () => {
  it('drifts from the axis by the angle between them, to the horse’s left', () => {
    expect(away()).toMatchObject({ kind: 'away', path: { driftDeg: 3, rmsM: 0 } });
    expect(lineOn({ fromM: [0.3, 4], headingDeg: -84 })).toMatchObject({
      kind: 'towards',
      path: { driftDeg: 6, rmsM: 0 },
    });
  });

  it('has base widths and hind prints beside fore prints as planned', () => {
    const pass = away({ baseWidthM: { fore: 0.24, hind: 0.14 } });
    expect(pass.baseWidthM).toEqual({ fore: 0.24, hind: 0.14 });
    expect(pass.hindOnForeM).toEqual({ left: -0.05, right: 0.05, both: 0 });
  });

  it('swings out and in as planned, each limb by itself', () => {
    const swingOutM = { LH: 0.01, LF: -0.03, RH: -0.02, RF: 0.06 };
    expect(away({ swingOutM }).swingOutM).toEqual(swingOutM);
  });

  it('knows a head turned to one side by plane trigonometry, and counts the time', () => {
    const turned = (headTurnDeg: number): TrueLinePass['head'] =>
      away({ headTurnDeg, headSwayDeg: 0, nodM: 0, headAboveM: 0.1 }).head;
    // Neck .475 H and head .385 H at 54 degrees below level: half of the turn in the neck, all of it in the head.
    const neck = 0.475 * walk.withersM * Math.sin(radians(6));
    const face = 0.385 * walk.withersM * Math.cos(radians(54)) * Math.sin(radians(12));
    const { poll, muzzle } = turned(12);
    // The trunk sways by .8 % of the withers height about its line.
    expect(Math.abs(poll.meanM - neck)).toBeLessThan(0.008 * walk.withersM);
    expect(Math.abs(muzzle.meanM - neck - face)).toBeLessThan(0.008 * walk.withersM);
    expect(muzzle).toMatchObject({ leftShare: 1, rightShare: 0 });
    expect(turned(-12).muzzle).toMatchObject({ leftShare: 0, rightShare: 1 });
    expect(turned(0).muzzle).toMatchObject({ leftShare: 0, rightShare: 0 });
  });

  it('of the triangle: away, turn, past, turn, back; straight there, crooked on the way back', () => {
    const passes = passesOf(triangle);
    expect(passes.map((p) => p.kind)).toEqual(['away', 'turn', 'side', 'turn', 'towards']);
    const [there, back] = passes.filter((p) => 'path' in p);
    expect(there?.path.rmsM).toBe(0);
    expect(back?.path.rmsM).toBeGreaterThan(0.1);
    passes.slice(1).forEach((p, i) => expect(p.startS).toBeGreaterThan(passes[i]?.endS ?? Infinity));
  });
});

describe('a horse that stands', () => {
  const standing = planOf('standing');
  const plan = (standing.going as { stand: StandPlan }).stand;
  const stood = (change: Partial<StandPlan>, headingDeg = standing.camera.headingDeg): TrueStand => {
    const camera = { ...standing.camera, headingDeg, frames: 60 };
    const [pass] = passesOf({ ...standing, going: { stand: { ...plan, ...change } }, camera });
    if (pass?.kind !== 'stand') throw new Error(`a pass of kind ${pass?.kind}`);
    return pass;
  };

  it('has its hooves where the plan puts them', () => {
    const aheadM = { LF: 0.05, RF: -0.02, LH: 0.1, RH: -0.15 };
    const { measures: m, hindBack, view } = stood({ aheadM, baseWidthM: { fore: 0.21, hind: 0.17 } });
    expect(m.leftAheadM).toEqual({ fore: 0.07, hind: 0.25 });
    expect(m.baseWidthM).toEqual({ fore: 0.21, hind: 0.17 });
    expect(m.hindToForeM.right - m.hindToForeM.left).toBeCloseTo(-0.02 + 0.15 - 0.05 + 0.1, 6);
    expect({ hindBack, view }).toEqual({ hindBack: 'right', view: 'left' });
    expect(stood({ aheadM: { LF: 0, RF: 0, LH: 0, RH: 0 } }).hindBack).toBeNull();
  });

  it('stands square on upright legs, the angle at the hock open', () => {
    const { measures: m } = stood({ aheadM: { LF: 0, RF: 0, LH: 0, RH: 0 }, shiftM: 0 });
    for (const limb of LIMBS) {
      expect(Math.abs(m.cannonLeanDeg[limb])).toBeLessThan(6);
      // The drawn pastern lies in the line of a hoof wall of 54 degrees; toe and fetlock follow by exact maths.
      expect(m.pasternSlopeDeg[limb]).toBeCloseTo(54, 6);
      const [c, s] = [Math.cos(radians(54)), Math.sin(radians(54))];
      const slope = Math.atan2(0.042 + 0.07 * s, 0.052 + 0.07 * c);
      expect(radians(m.fetlockToToeSlopeDeg[limb])).toBeCloseTo(slope, 6);
    }
    expect(m.hockAngleDeg.left).toBeGreaterThan(130);
    expect(m.hockAngleDeg.left).toBeLessThan(160);
    // Body length / H from 1.076 (Warmblood, SD .025) to 1.145 (Icelandic): Acta Vet Scand 2019, s13028-019-0498-5.
    expect(m.bodyLengthH).toBeGreaterThan(1.05);
    expect(m.bodyLengthH).toBeLessThan(1.17);
    expect(m.girthDepthM + m.legLengthM).toBeCloseTo(m.withersM, 6);
  });

  it('leans over the shoulder by as much as its forelegs stand back', () => {
    const level = stood({ aheadM: { LF: 0, RF: 0, LH: 0, RH: 0 }, shiftM: 0 }).measures;
    const back = stood({ aheadM: { LF: -0.1, RF: -0.1, LH: 0, RH: 0 }, shiftM: 0 }).measures;
    expect(back.shoulderAheadOfToeM.left).toBeGreaterThan(level.shoulderAheadOfToeM.left + 0.05);
    expect(back.cannonLeanDeg.LF).toBeGreaterThan(level.cannonLeanDeg.LF + 3);
  });

  it('tells from the camera’s turn which end is nearer', () => {
    expect(stood({}, -90).measures.cameraObliqueDeg).toBeCloseTo(0, 6);
    // Turned to its left, the camera looks along the horse: the forehand is farther away.
    expect(stood({}, -84).measures.cameraObliqueDeg).toBeCloseTo(-6, 6);
  });
});

describe('parts of a clip by kind', () => {
  const frame = (timeS: number): TruthFrame => ({ timeS, whole: true, view: 'left', points: [] });
  it('end with the first frame of none, however many follow', () => {
    const kinds = ['left', 'left', null, null, 'left', null, null, null] as const;
    const spans = spansOf(
      kinds.map((_, i) => frame(i)),
      ({ timeS }) => kinds[timeS] ?? null,
    );
    expect(spans).toEqual([
      { kind: 'left', startS: 0, endS: 1 },
      { kind: 'left', startS: 4, endS: 4 },
    ]);
  });
});
