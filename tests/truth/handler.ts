/** The person who leads: at the shoulder, in step with nothing, feet that stand while they carry. Path metres. */
import { add, joint, mix, smoothStep, type Vec } from './curves.ts';
import { sideSign, speedMps, type WalkPlan } from './gait.ts';
import type { Side } from '../../src/points.ts';
import { beads, type Bead, type Ring } from './loft.ts';
import { headFrame } from './horseSkin.ts';
import type { HorsePose } from './pose.ts';

const STRIDE_M = 1.46;
const DUTY = 0.6;
const CLOTHES = { jacket: 0x3f6f52, trousers: 0x2c3440, boots: 0x35302c, skin: 0xc99a7a, glove: 0x3a2f28 };
const HELMET = 0x20242c;

function foot(startM: number, strideS: number, timeS: number, phase: number): { x: number; up: number } {
  const cycles = timeS / strideS - phase;
  const k = Math.floor(cycles);
  const passed = cycles - k;
  const x = startM + (k + phase) * STRIDE_M + (DUTY * STRIDE_M) / 2;
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

function leg(hip: Vec, ankle: Vec): { rings: Ring[]; boot: Ring[] } {
  const knee = joint(hip, ankle, 0.44, 0.43, 1);
  const y = hip[1];
  return {
    rings: tube([
      [add(hip, [0, 0, 0.06]), 0.1, 0.09, CLOTHES.trousers],
      [mix(hip, knee, 0.5), 0.085, 0.075, CLOTHES.trousers],
      [knee, 0.062, 0.058, CLOTHES.trousers],
      [mix(knee, ankle, 0.35), 0.062, 0.055, CLOTHES.boots],
      [ankle, 0.045, 0.04, CLOTHES.boots],
      [add(ankle, [0.01, 0, -0.06]), 0.045, 0.038, CLOTHES.boots],
    ]),
    boot: tube([
      [[ankle[0] - 0.07, y, ankle[2] - 0.05], 0.025, 0.03, CLOTHES.boots],
      [[ankle[0] + 0.02, y, ankle[2] - 0.045], 0.04, 0.042, CLOTHES.boots],
      [[ankle[0] + 0.14, y, ankle[2] - 0.065], 0.024, 0.04, CLOTHES.boots],
      [[ankle[0] + 0.19, y, ankle[2] - 0.07], 0.012, 0.03, CLOTHES.boots],
    ]),
  };
}

export interface HandlerSkin {
  readonly parts: Readonly<Record<string, Ring[]>>;
  readonly rope: Ring[];
}

export function handlerSkin(p: WalkPlan, pose: HorsePose, side: Side): HandlerSkin {
  const sign = sideSign(side);
  const strideS = STRIDE_M / speedMps(p);
  const startM = p.startM + 0.56 * p.withersM;
  const x = pose.bodyX + 0.56 * p.withersM;
  const y = sign * 0.95;
  const bob = 0.018 * Math.cos((4 * Math.PI * pose.timeS) / strideS);
  const hip: Vec = [x, y, 0.9 + bob];
  const chest = add(hip, [0.03, 0, 0.42]);
  const legs = [0, 0.5].map((phase, i) => {
    const at = foot(startM, strideS, pose.timeS, phase);
    const across = y + (i === 0 ? 0.09 : -0.09);
    return leg([x, across, 0.9 + bob], [at.x - 0.03, across, 0.09 + at.up]);
  });
  const chin = headFrame(pose).at(0.62, 0.075 * p.withersM, sign * 0.02);
  const shoulder = add(chest, [0, -sign * 0.17, 0.06]);
  const hand = add(mix(shoulder, chin, 0.62), [0, 0, -0.18]);
  const swing = 0.16 * Math.sin((2 * Math.PI * pose.timeS) / strideS);
  const outer = add(chest, [0, sign * 0.2, 0.06]);
  const outerHand = add(outer, [swing + 0.06, 0.02 * sign, -0.5]);
  const arm = (from: Vec, to: Vec): Ring[] =>
    tube([
      [from, 0.06, 0.06, CLOTHES.jacket],
      [joint(from, to, 0.3, 0.28, -1), 0.048, 0.046, CLOTHES.jacket],
      [mix(joint(from, to, 0.3, 0.28, -1), to, 0.85), 0.035, 0.034, CLOTHES.jacket],
      [to, 0.04, 0.035, CLOTHES.glove],
    ]);
  const head = add(chest, [0.03, 0, 0.3]);
  return {
    parts: {
      legA: legs[0]?.rings ?? [],
      legB: legs[1]?.rings ?? [],
      bootA: legs[0]?.boot ?? [],
      bootB: legs[1]?.boot ?? [],
      body: tube([
        [add(hip, [0, 0, -0.05]), 0.11, 0.16, CLOTHES.jacket],
        [add(hip, [0, 0, 0.15]), 0.115, 0.16, CLOTHES.jacket],
        [chest, 0.125, 0.2, CLOTHES.jacket],
        [add(chest, [0, 0, 0.1]), 0.09, 0.17, CLOTHES.jacket],
        [add(chest, [0.005, 0, 0.16]), 0.05, 0.06, CLOTHES.skin],
        [add(head, [0, 0, -0.07]), 0.07, 0.06, CLOTHES.skin],
        [head, 0.1, 0.078, CLOTHES.skin],
        [add(head, [0, 0, 0.03]), 0.102, 0.08, CLOTHES.skin],
        [add(head, [0, 0, 0.036]), 0.116, 0.094, HELMET],
        [add(head, [0, 0, 0.05]), 0.115, 0.095, HELMET],
        [add(head, [-0.01, 0, 0.11]), 0.1, 0.085, HELMET],
        [add(head, [-0.015, 0, 0.16]), 0.03, 0.03, HELMET],
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
