/** Drawn clips agree with themselves, with the laws of the walk and with their cameras. */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FETLOCK, HOOF, LIMBS, POINT_NAMES, type PointName } from '../../src/points.ts';
import { root } from '../support/programs.ts';
import { project, seenAt } from './camera.ts';
import { curve, joint, length, minus, type Vec } from './curves.ts';
import { walking } from './motion.ts';
import { hoofAt } from './hooves.ts';
import { centreM, stances, type WalkPlan } from './gait.ts';
import { inYard } from './path.ts';
import { CLIPS, lastsS, motionOf, type ClipPlan } from './plans.ts';
import { keypoints, poseAt, stretch } from './pose.ts';
import { isSide } from './trueMeasures.ts';
import { overtracksM } from './trueSide.ts';
import { cameraOf, pointsInYard, stancesOf, TRUTH_SCHEMA, truthOf, type TruthFile } from './truth.ts';

const names = Object.keys(CLIPS);
const planOf = (name: string): ClipPlan => {
  const plan = CLIPS[name];
  if (!plan) throw new Error(`no plan for ${name}`);
  return plan;
};
const walkOf = (plan: ClipPlan): WalkPlan => {
  if (!('walk' in plan.going)) throw new Error('that one stands');
  return plan.going.walk;
};
const walks = names.filter((name) => 'walk' in planOf(name).going);
const even = walks.filter((name) => walkOf(planOf(name)).strideCv === 0);
const fileOf = (name: string): string => `${root}/sample-clips/${name}.truth.json`;
const read = (name: string): TruthFile => JSON.parse(readFileSync(fileOf(name), 'utf8')) as TruthFile;
const nothingHidden = Object.fromEntries(POINT_NAMES.map((n) => [n, false])) as Record<PointName, boolean>;

describe.each(even)('the even walk of %s', (name) => {
  const plan = planOf(name);
  const walk = walkOf(plan);
  const { manner } = walk;

  it('strides as long as speed times duration (check 1: exact maths)', () => {
    const list = stances(walk, lastsS(plan));
    for (const limb of LIMBS) {
      const own = list.filter((s) => s.limb === limb);
      expect(own.length).toBeGreaterThanOrEqual(4);
      own.slice(1).forEach((s, i) => {
        const before = own[i];
        if (!before) return;
        expect(s.printM.x - before.printM.x).toBeCloseTo(manner.strideLengthM, 9);
        expect(s.onS - before.onS).toBeCloseTo(manner.strideDurationS, 9);
      });
    }
  });

  it('overtracks by (1 - phi) SL - C (check 2: exact maths)', () => {
    const list = stances(walk, lastsS(plan));
    // C: from where the hind lands to where the fore lands, in body coordinates.
    const landsAt = (limb: 'LF' | 'LH'): number =>
      centreM(walk, manner, limb) + (manner.duty[limb] * manner.strideLengthM) / 2;
    const phi = manner.phases.LF - manner.phases.LH;
    const said = (1 - phi) * manner.strideLengthM - (landsAt('LF') - landsAt('LH'));
    const found = [...overtracksM(list, 'left'), ...overtracksM(list, 'right')];
    expect(found.length).toBeGreaterThanOrEqual(6);
    for (const m of found) expect(m).toBeCloseTo(said, 9);
    expect(said).toBeCloseTo(manner.overtrackM.left, 9);
  });

  it('carries head and croup as the truth says, over a stride', () => {
    const steps = 720;
    const poses = Array.from({ length: steps }, (_, i) =>
      poseAt(walking(walk), 1.3 + (i / steps) * manner.strideDurationS),
    );
    const mean = (list: number[]): number => list.reduce((s, x) => s + x, 0) / list.length;
    const head = poses.map((p) => p.poll[2] - p.withers[2]);
    expect(mean(head)).toBeCloseTo(walk.headAboveM, 6);
    expect(Math.max(...head) - Math.min(...head)).toBeCloseTo(walk.nodM, 4);
    expect(mean(poses.map((p) => p.withers[2]))).toBeCloseTo(walk.withersM, 6);
    expect(mean(poses.map((p) => p.croup[2] - p.withers[2]))).toBeCloseTo(walk.croupAboveM, 6);
  });

  it('walks within published bounds', () => {
    const [pass] = truthOf(plan, () => nothingHidden).passes.filter(isSide);
    if (!pass) throw new Error('no pass');
    const { measures: m } = pass;
    // Speeds walked by led horses: Gmel et al. 2024, J Equine Vet Sci 133:105005.
    expect(m.speedMps.both).toBeGreaterThan(1.35);
    expect(m.speedMps.both).toBeLessThan(2.05);
    // Walk-trot transition at a Froude number of 0.35: Griffin et al. 2004, J Exp Biol 207:4215.
    expect(m.froude.both).toBeLessThan(0.35);
    // At least two hooves carry at any time (check 4: mean hooves down = 2 (DFf + DFh), exact maths).
    const counts = Array.from({ length: 500 }, (_, i) => {
      const at = (i / 500) * manner.strideDurationS;
      return LIMBS.filter((limb) => hoofAt(walk, limb, at).inStance).length;
    });
    expect(Math.min(...counts)).toBeGreaterThanOrEqual(2);
    const meanDown = counts.reduce((s, x) => s + x, 0) / 500;
    expect(meanDown).toBeCloseTo(2 * (m.dutyFactorFore.both + m.dutyFactorHind.both), 1);
    expect(m.overtrackM.left).toBeCloseTo(manner.overtrackM.left, 9);
    expect(m.lateralLagFraction.right).toBeCloseTo(manner.phases.RF - manner.phases.RH, 9);
    expect(pass.jogStrides).toBe(0);
  });
});

describe.each(walks)('the drawn horse of %s', (name) => {
  const plan = planOf(name);
  const walk = walkOf(plan);

  it('keeps every toe tip still in stance, and the hoof flat until the heel lifts', () => {
    for (const s of stances(walk, lastsS(plan))) {
      for (const share of [0.001, 0.3, 0.6, 0.79, 0.9, 0.999]) {
        const hoof = hoofAt(walk, s.limb, s.onS + share * (s.offS - s.onS));
        expect(hoof.toe.x).toBeCloseTo(s.printM.x, 9);
        expect(hoof.toe.y).toBeCloseTo(s.printM.y, 9);
        expect(hoof.toe.z).toBe(0);
        if (share < 0.8) expect(hoof.pitchRad).toBe(0);
      }
    }
  });

  it('moves without a jump, with bones of one length', () => {
    const motion = walking(walk);
    const stepS = 1 / 240;
    // A cubic swing peaks at 1.5 times its mean speed (exact maths); lift, the turning hoof and strides that vary add.
    const manners = [walk.manner, ...walk.bouts.map((b) => b.manner)];
    const fastestMps = Math.max(
      ...manners.map(
        (m) =>
          ((walk.bouts.length > 0 ? 1.3 : 1.2) * 1.5 * m.strideLengthM) /
          m.strideDurationS /
          (1 - Math.max(...Object.values(m.duty))),
      ),
    );
    let before = keypoints(motion, poseAt(motion, 0), 'left');
    for (let i = 1; i * stepS < lastsS(plan); i++) {
      const pose = poseAt(motion, i * stepS);
      const now = keypoints(motion, pose, 'left');
      for (const point of POINT_NAMES)
        expect(length(minus(now[point], before[point])) / stepS, point).toBeLessThan(fastestMps);
      for (const limb of LIMBS) {
        const { fetlock, coronet, toe } = pose.limbs[limb];
        expect(length(minus(fetlock, coronet))).toBeCloseTo(0.07 * walk.withersM, 9);
        expect(length(minus(coronet, toe))).toBeCloseTo(Math.hypot(0.052, 0.042) * walk.withersM, 9);
        expect(now[FETLOCK[limb]][2]).toBeGreaterThan(now[HOOF[limb]][2]);
        expect(stretch(motion, limb, pose.limbs[limb]), limb).toBeLessThan(1);
      }
      before = now;
    }
  });
});

describe('jog steps', () => {
  it('land in diagonal pairs, and are told apart from the walk', () => {
    const plan = planOf('side-pass-jog-steps');
    const [pass] = truthOf(plan, () => nothingHidden).passes.filter(isSide);
    expect(pass?.jogStrides).toBeGreaterThanOrEqual(1);
    expect(pass?.strides).toBeGreaterThan(pass?.jogStrides ?? 0);
    const { from } = walkOf(plan).bouts[0] ?? { from: 0 };
    const landing = (limb: (typeof LIMBS)[number], stride = from): number =>
      stancesOf(plan).find((s) => s.limb === limb && s.stride === stride)?.onS ?? NaN;
    expect(Math.abs(landing('LH', from + 1) - landing('RF'))).toBeLessThan(0.02);
    expect(Math.abs(landing('RH') - landing('LF'))).toBeLessThan(0.02);
  });
});

describe('a path with turns', () => {
  const { path } = planOf('triangle');
  it('has no corner, and prints on it lie where its legs end (exact maths of straights and arcs)', () => {
    for (let s = -1; s < 26; s += 0.05) {
      const [a, b] = [inYard(path, [s, 0, 0]), inYard(path, [s + 0.01, 0, 0])];
      expect(length(minus(a, b)) / 0.01).toBeGreaterThan(0.9);
      expect(length(minus(a, b)) / 0.01).toBeLessThan(1.12);
    }
    const turn = (118 * Math.PI) / 180;
    const end = inYard(path, [5.5, 0, 0]);
    expect(end[0]).toBeCloseTo(path.fromM[0] + 5.5 * Math.cos(turn), 9);
    expect(end[1]).toBeCloseTo(path.fromM[1] + 5.5 * Math.sin(turn), 9);
  });
  it('shows the horse going away, past and coming back', () => {
    const { frames } = truthOf(planOf('triangle'), () => nothingHidden);
    const views = frames.map((f) => f.view).filter((v, i, list) => v !== list[i - 1]);
    expect(views).toEqual(['away', 'right', 'towards']);
  });
});

describe('a camera with a rolling shutter', () => {
  it('sees a place of the yard later, the lower it lies, by the time of its row', () => {
    const plan = planOf('triangle');
    const camera = cameraOf(plan);
    const place: Vec = [0.4, 0, 0.2];
    const at = seenAt(plan.camera, camera, () => place, 3);
    const rowS = 3 + plan.camera.readoutS * (at.y / (plan.camera.heightPx - 1) - 0.5);
    const then = project(camera(rowS), place);
    expect(Math.hypot(at.x - then.x, at.y - then.y)).toBeLessThan(0.01);
  });
});

describe.each(names.filter((name) => existsSync(fileOf(name))))('the truth file of %s', (name) => {
  const plan = planOf(name);

  it('is what its plan gives, to the last digit', () => {
    const file = read(name);
    const hidden = (i: number): Record<PointName, boolean> => {
      const row = file.frames[i]?.points ?? [];
      return Object.fromEntries(POINT_NAMES.map((n, k) => [n, row[k]?.[2] === 0])) as Record<
        PointName,
        boolean
      >;
    };
    expect(file.schema).toBe(TRUTH_SCHEMA);
    expect(JSON.parse(JSON.stringify(truthOf(plan, hidden)))).toEqual(file);
  });

  it('holds the points where its camera sees them, and prints under standing toes', () => {
    const file = read(name);
    const camera = cameraOf(plan);
    expect(file.frames).toHaveLength(plan.camera.frames);
    for (const frame of file.frames.filter((_, i) => i % 10 === 0)) {
      const side = frame.view === 'right' ? 'right' : 'left';
      POINT_NAMES.forEach((point, k) => {
        const said = frame.points[k] ?? [NaN, NaN, 0];
        const seen = seenAt(plan.camera, camera, (s) => pointsInYard(plan, s, side)[point], frame.timeS);
        expect(Math.hypot(said[0] - seen.x, said[1] - seen.y)).toBeLessThan(0.02);
      });
    }
    for (const s of file.stances) {
      const middle = Math.round(((s.onS + s.offS) / 2) * plan.camera.fps);
      const row = file.frames[middle]?.points[POINT_NAMES.indexOf(HOOF[s.limb])];
      if (!row) continue;
      const print = seenAt(plan.camera, camera, () => [...s.yardM, 0], middle / plan.camera.fps);
      expect(Math.hypot(row[0] - print.x, row[1] - print.y)).toBeLessThan(0.02);
    }
  });

  it('sees the near toes mostly, the far ones less', () => {
    const file = read(name);
    const share = (near: boolean): number => {
      const flags = file.frames
        .filter((f) => f.view === 'left' || f.view === 'right')
        .flatMap((f) =>
          LIMBS.map((l) => HOOF[l])
            .filter((n) => n.startsWith(f.view) === near)
            .map((n) => f.points[POINT_NAMES.indexOf(n)]?.[2] ?? 0),
        );
      return flags.reduce<number>((s, x) => s + x, 0) / flags.length;
    };
    expect(share(true)).toBeGreaterThan(0.9);
    expect(share(false)).toBeLessThan(share(true));
  });

  it('is small enough to lie in the repository', () => {
    expect(statSync(`${root}/sample-clips/${name}.mp4`).size).toBeLessThan(4e6);
    expect(motionOf(plan).withersM).toBe(read(name).withersM);
  });
});

describe('a two-link chain', () => {
  it('bends to the front with links of the given lengths, in a 3-4-5 triangle', () => {
    const knee = joint([0, 0, 5], [0, 0, 0], 3, 4, 1);
    // Right angle at the joint: 9/5 along the line, 12/5 beside it (Euclid).
    expect(knee[0]).toBeCloseTo(2.4, 9);
    expect(knee[2]).toBeCloseTo(5 - 1.8, 9);
    expect(length(minus(knee, [0, 0, 0]))).toBeCloseTo(4, 9);
  });
});

describe('a monotone curve', () => {
  it('stays level between level knots and passes through all (Fritsch & Carlson 1980)', () => {
    const knots = [
      [0, 0],
      [0.8, 0],
      [1, 2],
      [2, 1],
    ] as const;
    for (const [x, y] of knots) expect(curve(knots, x)).toBeCloseTo(y, 12);
    expect(curve(knots, 0.4)).toBe(0);
    for (let x = 0.8; x < 1; x += 0.01) expect(curve(knots, x)).toBeLessThanOrEqual(2);
  });
});
