/** The drawn skin: closed, facing outwards, with hooves whose front lower edge is the toe tip of the truth. */
import { describe, expect, it } from 'vitest';
import type { BufferGeometry } from 'three';
import { LIMBS, type Limb } from '../../src/points.ts';
import { handlerSkin } from './handler.ts';
import {
  CHESTNUT,
  headBeads,
  hoofRings,
  limbRings,
  maneRings,
  neckBeads,
  tailRings,
  trunkRings,
} from './horseSkin.ts';
import { beads, skin, type Ring } from './loft.ts';
import { CLIPS, HANDLER, motionOf } from './plans.ts';
import { poseAt } from './pose.ts';

const plan = CLIPS['side-pass'];
if (!plan) throw new Error('no plan for side-pass');
const motion = motionOf(plan);

type Corner = readonly [number, number, number];
function corners(geometry: BufferGeometry): Corner[] {
  const at = geometry.getAttribute('position');
  return Array.from({ length: at.count }, (_, i) => [at.getX(i), at.getY(i), at.getZ(i)] as const);
}

/** Volume by the divergence theorem, about `from`: positive where the skin faces outwards (exact maths). */
function volume(geometry: BufferGeometry, from: Corner): number {
  const list = corners(geometry).map((c): Corner => [c[0] - from[0], c[1] - from[1], c[2] - from[2]]);
  const index = [...(geometry.getIndex()?.array ?? [])];
  let sum = 0;
  for (let i = 0; i < index.length; i += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => list[index[i + k] ?? 0] ?? from) as [Corner, Corner, Corner];
    sum +=
      a[0] * (b[1] * c[2] - b[2] * c[1]) +
      a[1] * (b[2] * c[0] - b[0] * c[2]) +
      a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return sum / 6;
}

const LEFT: Corner = [0, 1, 0];
function partsAt(timeS: number): Record<string, Ring[]> {
  const pose = poseAt(motion, timeS);
  const limbs = LIMBS.flatMap((name): [string, Ring[]][] => [
    [name, limbRings(motion, name, pose.limbs[name], CHESTNUT)],
    [`${name} hoof`, hoofRings(motion, pose.limbs[name], CHESTNUT)],
  ]);
  return {
    trunk: trunkRings(motion, pose, CHESTNUT),
    neck: beads(neckBeads(motion, pose, CHESTNUT), LEFT, 5),
    head: beads(headBeads(motion, pose, CHESTNUT), LEFT, 4),
    tail: tailRings(motion, pose, CHESTNUT),
    mane: maneRings(motion, pose, CHESTNUT),
    ...Object.fromEntries(limbs),
    ...handlerSkin(motion, pose, HANDLER).parts,
  };
}

describe('the skin', () => {
  const times = [0.3, 0.61, 1.02];

  it('faces outwards in every part', () => {
    for (const timeS of times) {
      for (const [name, rings] of Object.entries(partsAt(timeS))) {
        expect(volume(skin(rings, 20), rings[0]?.centre ?? [0, 0, 0]), name).toBeGreaterThan(0);
      }
    }
  });

  it('has the volume of an ellipsoid where its rings are those of one', () => {
    const rings = Array.from({ length: 81 }, (_, i): Ring => {
      const x = -1 + i / 40;
      const r = Math.sqrt(Math.max(0, 1 - x * x));
      return { centre: [x, 0, 0], a: [0, 0, 0.5 * r], b: [0, 0.3 * r, 0], colour: 0 };
    });
    // 4/3 pi a b c (exact maths), less what 80 rings of 64 corners cut off.
    expect(volume(skin(rings, 64), [0, 0, 0]) / ((4 / 3) * Math.PI * 0.15)).toBeCloseTo(1, 2);
  });

  it('ends each hoof at the toe tip of the truth, and nowhere below the ground', () => {
    for (let timeS = 0.2; timeS < 1.4; timeS += 0.05) {
      const pose = poseAt(motion, timeS);
      for (const name of LIMBS as readonly Limb[]) {
        const limb = pose.limbs[name];
        const all = corners(skin(hoofRings(motion, limb, CHESTNUT), 28));
        const gap = Math.min(...all.map((c) => Math.hypot(...c.map((x, i) => x - (limb.toe[i] ?? 0)))));
        expect(gap).toBeLessThan(1e-6);
        expect(Math.min(...all.map((c) => c[2]))).toBeGreaterThan(-1e-6);
        // While it stands flat nothing of it lies in front of the tip.
        if (limb.hoof.inStance && limb.hoof.pitchRad === 0) {
          expect(Math.max(...all.map((c) => c[0]))).toBeLessThan(limb.toe[0] + 1e-6);
        }
      }
    }
  });

  it('reaches up to withers, croup and poll, and not above them there', () => {
    const h = motion.withersM;
    for (const timeS of times) {
      const pose = poseAt(motion, timeS);
      const parts = partsAt(timeS);
      const top = (names: readonly string[], x: number): number => {
        const all = names.flatMap((n) => corners(skin(parts[n] ?? [], 40)));
        return Math.max(...all.filter((c) => Math.abs(c[0] - x) < 0.015 * h).map((c) => c[2]));
      };
      expect(top(['trunk', 'neck'], pose.withers[0]) - pose.withers[2]).toBeLessThan(0.004 * h);
      expect(pose.withers[2] - top(['trunk', 'neck'], pose.withers[0])).toBeLessThan(0.004 * h);
      expect(Math.abs(top(['trunk', 'LH', 'RH'], pose.croup[0]) - pose.croup[2])).toBeLessThan(0.006 * h);
      expect(Math.abs(top(['head', 'neck', 'mane'], pose.poll[0]) - pose.poll[2])).toBeLessThan(0.012 * h);
    }
  });
});
