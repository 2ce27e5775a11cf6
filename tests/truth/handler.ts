/** The person who leads: at the shoulder, in step with nothing, feet that stand while they carry or both. Path metres. */
import { add, joint, mix, smoothStep, type Vec } from './curves.ts';
import { type Motion } from './motion.ts';
import { sideSign } from './gait.ts';
import type { Side } from '../../src/points.ts';
import { beads, type Bead, type Ring } from './loft.ts';
import { headFrame } from './horseSkin.ts';
import type { HorsePose } from './pose.ts';

const STRIDE_M = 1.46;
const DUTY = 0.6;

export interface Clothes {
  readonly jacket: number;
  readonly trousers: number;
  readonly boots: number;
  readonly skin: number;
  readonly glove: number;
  readonly helmet: number;
}
export const CLOTHES: Clothes = {
  jacket: 0x3f6f52,
  trousers: 0x2c3440,
  boots: 0x35302c,
  skin: 0xc99a7a,
  glove: 0x3a2f28,
  helmet: 0x20242c,
};

export interface HandlerPlan {
  readonly side: Side;
  /** Ahead of the withers, withers heights, and beside the horse's middle line, m. */
  readonly aheadH: number;
  readonly asideM: number;
  readonly clothes: Clothes;
}

/** Feet keep step with the way that the body goes. */
function steppingFoot(wayM: number, phase: number): { x: number; up: number } {
  const cycles = wayM / STRIDE_M - phase;
  const k = Math.floor(cycles);
  const passed = cycles - k;
  const x = (k + phase) * STRIDE_M + (DUTY * STRIDE_M) / 2;
  if (passed <= DUTY) return { x, up: 0 };
  const share = (passed - DUTY) / (1 - DUTY);
  return { x: x + smoothStep(share) * STRIDE_M, up: 0.09 * Math.sin(Math.PI * share) };
}

const tube = (rows: readonly (readonly [Vec, number, number, number])[], per = 4): Ring[] =>
  beads(
    rows.map(([place, depth, width, colour]): Bead => ({ place, depth, width, colour, power: 2.2 })),
    [0, 1, 0],
    per,
  );

function leg(hip: Vec, ankle: Vec, clothes: Clothes): { rings: Ring[]; boot: Ring[] } {
  const knee = joint(hip, ankle, 0.44, 0.43, 1);
  const y = hip[1];
  return {
    rings: tube([
      [add(hip, [0, 0, 0.06]), 0.1, 0.09, clothes.trousers],
      [mix(hip, knee, 0.5), 0.085, 0.075, clothes.trousers],
      [knee, 0.062, 0.058, clothes.trousers],
      [mix(knee, ankle, 0.35), 0.062, 0.055, clothes.boots],
      [ankle, 0.045, 0.04, clothes.boots],
      [add(ankle, [0.01, 0, -0.06]), 0.045, 0.038, clothes.boots],
    ]),
    boot: tube([
      [[ankle[0] - 0.07, y, ankle[2] - 0.05], 0.025, 0.03, clothes.boots],
      [[ankle[0] + 0.02, y, ankle[2] - 0.045], 0.04, 0.042, clothes.boots],
      [[ankle[0] + 0.14, y, ankle[2] - 0.065], 0.024, 0.04, clothes.boots],
      [[ankle[0] + 0.19, y, ankle[2] - 0.07], 0.012, 0.03, clothes.boots],
    ]),
  };
}

export interface HandlerSkin {
  readonly parts: Readonly<Record<string, Ring[]>>;
  readonly rope: Ring[];
}

export function handlerSkin(m: Motion, pose: HorsePose, plan: HandlerPlan): HandlerSkin {
  const { clothes, side } = plan;
  const sign = sideSign(side);
  const x = (m.standsAtM ?? pose.bodyX) + plan.aheadH * m.withersM;
  const walks = m.standsAtM === null;
  const y = sign * plan.asideM;
  const step = (2 * Math.PI * x) / STRIDE_M;
  // Whoever stands straightens the knees.
  const bob = walks ? 0.018 * Math.cos(2 * step) : 0.05;
  const hip: Vec = [x, y, 0.9 + bob];
  const chest = add(hip, [0.03, 0, 0.42]);
  const legs = [0, 0.5].map((phase, i) => {
    const at = walks ? steppingFoot(x, phase) : { x, up: 0 };
    const across = y + (i === 0 ? 0.09 : -0.09);
    return leg([x, across, 0.9 + bob], [at.x - 0.03, across, 0.09 + at.up], clothes);
  });
  const chin = headFrame(pose).at(0.62, 0.075 * m.withersM, sign * 0.02);
  const shoulder = add(chest, [0, -sign * 0.17, 0.06]);
  const hand = add(mix(shoulder, chin, 0.62), [0, 0, -0.18]);
  const swing = walks ? 0.16 * Math.sin(step) : 0;
  const outer = add(chest, [0, sign * 0.2, 0.06]);
  const outerHand = add(outer, [swing + 0.06, 0.02 * sign, -0.5]);
  const arm = (from: Vec, to: Vec): Ring[] =>
    tube([
      [from, 0.06, 0.06, clothes.jacket],
      [joint(from, to, 0.3, 0.28, -1), 0.048, 0.046, clothes.jacket],
      [mix(joint(from, to, 0.3, 0.28, -1), to, 0.85), 0.035, 0.034, clothes.jacket],
      [to, 0.04, 0.035, clothes.glove],
    ]);
  const head = add(chest, [0.03, 0, 0.3]);
  return {
    parts: {
      legA: legs[0]?.rings ?? [],
      legB: legs[1]?.rings ?? [],
      bootA: legs[0]?.boot ?? [],
      bootB: legs[1]?.boot ?? [],
      body: tube([
        [add(hip, [0, 0, -0.05]), 0.11, 0.16, clothes.jacket],
        [add(hip, [0, 0, 0.15]), 0.115, 0.16, clothes.jacket],
        [chest, 0.125, 0.2, clothes.jacket],
        [add(chest, [0, 0, 0.1]), 0.09, 0.17, clothes.jacket],
        [add(chest, [0.005, 0, 0.16]), 0.05, 0.06, clothes.skin],
        [add(head, [0, 0, -0.07]), 0.07, 0.06, clothes.skin],
        [head, 0.1, 0.078, clothes.skin],
        [add(head, [0, 0, 0.03]), 0.102, 0.08, clothes.skin],
        [add(head, [0, 0, 0.036]), 0.116, 0.094, clothes.helmet],
        [add(head, [0, 0, 0.05]), 0.115, 0.095, clothes.helmet],
        [add(head, [-0.01, 0, 0.11]), 0.1, 0.085, clothes.helmet],
        [add(head, [-0.015, 0, 0.16]), 0.03, 0.03, clothes.helmet],
      ]),
      arm: arm(shoulder, hand),
      outerArm: arm(outer, outerHand),
    },
    rope: tube(
      [0, 0.25, 0.5, 0.75, 1].map((s) => [
        add(mix(hand, chin, s), [0, 0, -0.12 * Math.sin(Math.PI * s)]),
        0.011,
        0.011,
        0xd8d2c4,
      ]),
    ),
  };
}
