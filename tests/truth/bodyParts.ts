/** All skins of one picture: the horse with halter and rope, and the handler. Path metres. */
import { LIMBS, type Limb, type PointName } from '../../src/points.ts';
import { HOOF, FETLOCK, KNEE_OR_HOCK } from '../../src/points.ts';
import { add, times, unit, type Vec } from './curves.ts';
import type { Motion } from './motion.ts';
import { handlerSkin, type HandlerPlan } from './handler.ts';
import {
  headBeads,
  headFrame,
  hoofRings,
  limbRings,
  maneRings,
  neckBeads,
  tailRings,
  trunkRings,
  type Coat,
  type HeadFrame,
} from './horseSkin.ts';
import { beads, type Ring } from './loft.ts';
import type { HorsePose } from './pose.ts';

export interface Part {
  readonly rings: readonly Ring[];
  readonly around: number;
  readonly material: 'coat' | 'cloth';
}

const LEFT: Vec = [0, 1, 0];

function small(frame: HeadFrame, place: Vec, size: number, colour: number): Ring[] {
  return beads(
    [-1, -0.6, 0, 0.6, 1].map((s) => ({
      place: add(place, times(frame.along, s * size)),
      depth: size * 0.75 * Math.sqrt(1.02 - s * s),
      width: size * 0.6 * Math.sqrt(1.02 - s * s),
      colour,
    })),
    LEFT,
    2,
  );
}

function strap(frame: HeadFrame, h: number, share: number, jaw: number, size: [number, number]): Ring[] {
  return beads(
    [-0.012, 0.012].map((s) => ({
      place: frame.at(share + s, jaw * h, 0),
      depth: size[0] * h,
      width: size[1] * h,
      colour: 0x2c2320,
    })),
    LEFT,
    1,
  );
}

function ear(frame: HeadFrame, h: number, side: number, coat: Coat): Ring[] {
  const foot = frame.at(0.03, 0.012 * h, side * 0.032 * h);
  const up = unit(add(times(frame.jaw, -1), [0.15, 0, 0.75]));
  return beads(
    [0, 0.3, 0.65, 1].map((s, i) => ({
      place: add(foot, times(up, s * 0.105 * h)),
      depth: ([0.017, 0.023, 0.017, 0.003][i] ?? 0) * h,
      width: ([0.014, 0.016, 0.011, 0.002][i] ?? 0) * h,
      colour: i === 3 ? coat.mane : coat.body,
    })),
    LEFT,
    3,
  );
}

/** White down the face: a strip that lies a little before the skull. */
const blaze = (frame: HeadFrame, h: number, coat: Coat): Ring[] =>
  beads(
    [0.2, 0.35, 0.55, 0.75].map((share, i) => ({
      place: frame.at(share, ([0.0, 0.0, -0.006, -0.006][i] ?? 0) * h, 0),
      depth: 0.012 * h,
      width: ([0.012, 0.026, 0.02, 0.014][i] ?? 0) * h,
      colour: coat.white,
    })),
    LEFT,
    3,
  );

function headParts(m: Motion, pose: HorsePose, coat: Coat): Record<string, Part> {
  const h = m.withersM;
  const frame = headFrame(pose);
  const coated = (rings: readonly Ring[], around: number): Part => ({ rings, around, material: 'coat' });
  const cloth = (rings: readonly Ring[]): Part => ({ rings, around: 20, material: 'cloth' });
  const both = [1, -1].flatMap((side): [string, Part][] => [
    [`ear ${side}`, coated(ear(frame, h, side, coat), 12)],
    [
      `eye ${side}`,
      coated(small(frame, frame.at(0.3, 0.028 * h, side * 0.056 * h), 0.014 * h, 0x0d0a09), 10),
    ],
    [
      `nostril ${side}`,
      coated(small(frame, frame.at(0.93, 0.012 * h, side * 0.032 * h), 0.012 * h, 0x120d0c), 10),
    ],
  ]);
  return {
    ...Object.fromEntries(both),
    noseband: cloth(strap(frame, h, 0.62, 0.034, [0.049, 0.043])),
    headpiece: cloth(strap(frame, h, 0.1, 0.062, [0.07, 0.058])),
    ...(coat.blaze ? { blaze: coated(blaze(frame, h, coat), 16) } : {}),
  };
}

/** By name: `LH`, `LH hoof`, `trunk`, `head`, `ear 1`, `handler body`, `rope`, ... `coatOf`: where legs differ. */
export function bodyParts(
  m: Motion,
  pose: HorsePose,
  coat: Coat,
  handler: HandlerPlan | null,
  coatOf: (limb: Limb) => Coat = () => coat,
): Record<string, Part> {
  const coated = (rings: readonly Ring[], around: number): Part => ({ rings, around, material: 'coat' });
  const limbs = LIMBS.flatMap((limb): [string, Part][] => [
    [limb, coated(limbRings(m, limb, pose.limbs[limb], coatOf(limb)), 20)],
    [`${limb} hoof`, coated(hoofRings(m, pose.limbs[limb], coat), 28)],
  ]);
  const led = handler && handlerSkin(m, pose, handler);
  const person = Object.entries(led?.parts ?? {}).map(([name, rings]): [string, Part] => [
    `handler ${name}`,
    { rings, around: 16, material: 'cloth' },
  ]);
  return {
    trunk: coated(trunkRings(m, pose, coat), 40),
    neck: coated(beads(neckBeads(m, pose, coat), LEFT, 5), 28),
    head: coated(beads(headBeads(m, pose, coat), LEFT, 4), 24),
    tail: coated(tailRings(m, pose, coat), 16),
    mane: coated(maneRings(m, pose, coat), 16),
    ...Object.fromEntries(limbs),
    ...headParts(m, pose, coat),
    ...Object.fromEntries(person),
    ...(led ? { rope: { rings: led.rope, around: 6, material: 'cloth' as const } } : {}),
  };
}

/** Parts that a point lies on or inside of: they do not hide it. */
export function ownParts(name: PointName): Set<string> {
  const limb = LIMBS.find((l: Limb) => [HOOF[l], FETLOCK[l], KNEE_OR_HOCK[l]].includes(name as never));
  if (limb) return new Set([limb, `${limb} hoof`]);
  const trunk = ['trunk', 'neck', 'mane', 'tail'];
  if (name === 'poll' || name === 'muzzle')
    return new Set(
      ['head', 'neck', 'mane', 'ear 1', 'ear -1', 'noseband', 'headpiece', 'blaze'].concat([
        'nostril 1',
        'nostril -1',
      ]),
    );
  if (name === 'left_point_of_shoulder') return new Set(['LF', 'trunk', 'neck']);
  if (name === 'right_point_of_shoulder') return new Set(['RF', 'trunk', 'neck']);
  if (name.startsWith('point_of')) return new Set([...trunk, 'LF', 'RF']);
  return new Set([...trunk, 'LH', 'RH']);
}
