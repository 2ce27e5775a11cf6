/** The sample clip's truth file agrees with itself, with the laws of the walk and with the camera. */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FETLOCK, HOOF, LIMBS, POINT_NAMES, isFore, type PointName } from '../../src/points.ts';
import { root } from '../support/programs.ts';
import { cameraOf, project } from './camera.ts';
import { curve, joint, length, minus } from './curves.ts';
import { hoofAt, reachM, speedMps, stances } from './gait.ts';
import { CLIPS } from './plans.ts';
import { keypoints, poseAt, stretch } from './pose.ts';
import { overtracksM, TRUTH_SCHEMA, trueMeasures, truthOf, type TruthFile } from './truth.ts';

const names = Object.keys(CLIPS);
const planOf = (name: string) => {
  const plan = CLIPS[name];
  if (!plan) throw new Error(`no plan for ${name}`);
  return plan;
};
const fileOf = (name: string): string => `${root}/sample-clips/${name}.truth.json`;
const read = (name: string): TruthFile => JSON.parse(readFileSync(fileOf(name), 'utf8')) as TruthFile;
describe.each(names)('the drawn walk of %s', (name) => {
  const { walk, camera } = planOf(name);
  const lastsS = camera.frames / camera.fps;

  it('strides as long as speed times duration (check 1: exact maths)', () => {
    const list = stances(walk, lastsS);
    for (const limb of LIMBS) {
      const own = list.filter((s) => s.limb === limb);
      expect(own.length).toBeGreaterThanOrEqual(4);
      own.slice(1).forEach((s, i) => {
        const before = own[i];
        if (!before) return;
        expect(s.printM.x - before.printM.x).toBeCloseTo(speedMps(walk) * (s.onS - before.onS), 9);
        expect(s.onS - before.onS).toBeCloseTo(walk.strideDurationS, 9);
      });
    }
  });

  it('overtracks by (1 - phi) SL - C (check 2: exact maths)', () => {
    const list = stances(walk, lastsS);
    const c = reachM(walk, 'LF') - reachM(walk, 'LH');
    const said = (1 - walk.lag) * walk.strideLengthM - c;
    const found = [...overtracksM(list, 'L'), ...overtracksM(list, 'R')];
    expect(found.length).toBeGreaterThanOrEqual(6);
    for (const m of found) expect(m).toBeCloseTo(said, 9);
    expect(said).toBeCloseTo(walk.overtrackM, 9);
  });

  it('keeps every toe tip still in stance, and the hoof flat until the heel lifts', () => {
    for (const s of stances(walk, lastsS)) {
      for (const share of [0.001, 0.3, 0.6, 0.79, 0.9, 0.999]) {
        const hoof = hoofAt(walk, s.limb, s.onS + share * (s.offS - s.onS));
        expect(hoof.toe.x).toBeCloseTo(s.printM.x, 9);
        expect(hoof.toe.z).toBe(0);
        if (share < 0.8) expect(hoof.pitchRad).toBe(0);
      }
    }
  });

  it('moves without a jump, with bones of one length that reach the ground', () => {
    const stepS = 1 / 240;
    // A cubic swing peaks at 1.5 times its mean speed (exact maths); lift and the turning hoof add a little.
    const fastestMps = (1.08 * 1.5 * speedMps(walk)) / (1 - Math.max(walk.dutyFore, walk.dutyHind));
    let before = keypoints(walk, poseAt(walk, 0), camera.sees);
    for (let i = 1; i * stepS < 2 * walk.strideDurationS; i++) {
      const pose = poseAt(walk, i * stepS);
      const now = keypoints(walk, pose, camera.sees);
      for (const point of POINT_NAMES) {
        expect(length(minus(now[point], before[point])) / stepS, point).toBeLessThan(fastestMps);
      }
      for (const limb of LIMBS) {
        expect(stretch(walk, limb, pose.limbs[limb]), limb).toBeLessThan(1);
        const { fetlock, coronet, toe } = pose.limbs[limb];
        expect(length(minus(fetlock, coronet))).toBeCloseTo(0.07 * walk.withersM, 9);
        expect(length(minus(coronet, toe))).toBeCloseTo(Math.hypot(0.052, 0.042) * walk.withersM, 9);
        expect(now[FETLOCK[limb]][2]).toBeGreaterThan(now[HOOF[limb]][2]);
      }
      before = now;
    }
  });

  it('carries head and croup as the truth says, over a stride', () => {
    const steps = 720;
    const start = 1.3;
    const poses = Array.from({ length: steps }, (_, i) =>
      poseAt(walk, start + (i / steps) * walk.strideDurationS),
    );
    const mean = (list: number[]): number => list.reduce((s, x) => s + x, 0) / list.length;
    const head = poses.map((p) => p.poll[2] - p.withers[2]);
    expect(mean(head)).toBeCloseTo(walk.headAboveM, 6);
    expect(Math.max(...head) - Math.min(...head)).toBeCloseTo(walk.nodM, 4);
    expect(mean(poses.map((p) => p.withers[2]))).toBeCloseTo(walk.withersM, 6);
    expect(mean(poses.map((p) => p.croup[2] - p.withers[2]))).toBeCloseTo(walk.croupAboveM, 6);
  });

  it('walks within published bounds', () => {
    const m = trueMeasures(walk);
    // Speeds walked by led horses: Gmel et al. 2024, J Equine Vet Sci 133:105005.
    expect(m.speedMps).toBeGreaterThan(1.35);
    expect(m.speedMps).toBeLessThan(2.05);
    // Walk-trot transition at a Froude number of 0.35: Griffin et al. 2004, J Exp Biol 207:4215.
    expect(m.froude).toBeLessThan(0.35);
    // At least two hooves carry at any time (check 4: mean hooves down = 2 (DFf + DFh), exact maths).
    const counts = Array.from({ length: 500 }, (_, i) => {
      const at = (i / 500) * walk.strideDurationS;
      return LIMBS.filter((limb) => hoofAt(walk, limb, at).inStance).length;
    });
    expect(Math.min(...counts)).toBeGreaterThanOrEqual(2);
    expect(counts.reduce((s, x) => s + x, 0) / 500).toBeCloseTo(2 * (m.dutyFactorFore + m.dutyFactorHind), 1);
    for (const limb of LIMBS) {
      const s = stances(walk, lastsS).find((st) => st.limb === limb);
      const duty = isFore(limb) ? m.dutyFactorFore : m.dutyFactorHind;
      expect(((s?.offS ?? 0) - (s?.onS ?? 0)) / m.strideDurationS).toBeCloseTo(duty, 9);
    }
  });
});

describe.each(names.filter((name) => existsSync(fileOf(name))))('the truth file of %s', (name) => {
  it('is what its plan gives, to the last digit', () => {
    const plan = planOf(name);
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

  it('holds the points where its camera sees them', () => {
    const file = read(name);
    const camera = cameraOf(file.camera);
    expect(file.frames).toHaveLength(file.camera.frames);
    for (const frame of file.frames) {
      const places = keypoints(file.walk, poseAt(file.walk, frame.timeS), file.camera.sees);
      POINT_NAMES.forEach((point, k) => {
        const said = frame.points[k] ?? [NaN, NaN, 0];
        const seen = project(camera, places[point]);
        expect(Math.hypot(said[0] - seen.x, said[1] - seen.y)).toBeLessThan(0.02);
      });
    }
    for (const s of file.stances) {
      const middle = Math.round(((s.onS + s.offS) / 2) * file.camera.fps);
      const row = file.frames[middle]?.points[POINT_NAMES.indexOf(HOOF[s.limb])];
      if (row) expect(Math.hypot(row[0] - s.printPx.x, row[1] - s.printPx.y)).toBeLessThan(0.02);
    }
  });

  it('sees the near toes nearly always, the far ones less', () => {
    const file = read(name);
    const share = (side: 'left' | 'right'): number => {
      const which = LIMBS.map((l) => HOOF[l]).filter((n) => n.startsWith(side));
      const flags = file.frames.flatMap((f) => which.map((n) => f.points[POINT_NAMES.indexOf(n)]?.[2] ?? 0));
      return flags.reduce<number>((s, x) => s + x, 0) / flags.length;
    };
    const near = file.camera.sees;
    expect(share(near)).toBeGreaterThan(0.95);
    expect(share(near === 'left' ? 'right' : 'left')).toBeLessThan(share(near));
  });

  it('is small enough to lie in the repository', () => {
    expect(statSync(`${root}/sample-clips/${name}.mp4`).size).toBeLessThan(2.2e6);
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
