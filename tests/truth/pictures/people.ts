/** The people in a drawn picture as pieces of skin: one leads, others stand or walk along. */
import { add, joint, length, minus, mix, times, unit, type Vec } from '../curves.ts';
import { handlerSkin } from '../handler.ts';
import { headFrame } from '../horseSkin.ts';
import { beads, type Ring } from '../loft.ts';
import type { Motion } from '../motion.ts';
import type { HorsePose } from '../pose.ts';
import type { Piece } from './flesh.ts';
import type { Person } from './plans.ts';
import type { Warp, Warps } from './shape.ts';

/** Skins are small in these pictures: fewer corners do. */
const CORNERS = 0.6;
export const around = (n: number): number => Math.max(6, 2 * Math.round((n * CORNERS) / 2));

/** Upper and lower arm, m. */
const ARM_M = [0.3, 0.28] as const;
const stay: Warp = (x, y, z) => [x, y, z];

function tube(list: readonly Vec[], widths: readonly number[], colours: readonly number[]): Ring[] {
  const rows = list.map((place, i) => {
    const wide = widths[i] ?? 0.04;
    return { place, depth: wide, width: wide, colour: colours[i] ?? 0 };
  });
  return beads(rows, [0, 1, 0], 3);
}

/** To the chin where the horse is led, else hanging; never longer than an arm. */
function handAt(shoulder: Vec, chin: Vec, leads: boolean): Vec {
  if (!leads) return add(shoulder, [0.06, 0, -0.52]);
  const to = minus(chin, shoulder);
  const far = Math.min(0.52, 0.75 * length(to));
  return add(add(shoulder, times(unit(to), far)), [0, 0, -0.12]);
}

function arm(shoulder: Vec, hand: Vec, person: Person): Ring[] {
  const { jacket, glove } = person.clothes;
  const elbow = joint(shoulder, hand, ARM_M[0], ARM_M[1], -1);
  const wrist = mix(elbow, hand, 0.8);
  return tube([shoulder, elbow, wrist, hand], [0.06, 0.047, 0.035, 0.038], [jacket, jacket, jacket, glove]);
}

/** It hangs through between hand and chin. */
function rope(hand: Vec, chin: Vec, colour: number): Ring[] {
  const slack = Math.min(0.25, 0.2 * length(minus(chin, hand)));
  const places = [0, 0.25, 0.5, 0.75, 1].map((s) =>
    add(mix(hand, chin, s), [0, 0, -slack * Math.sin(Math.PI * s)]),
  );
  return tube(places, [0.011, 0.011, 0.011, 0.011, 0.011], Array<number>(5).fill(colour));
}

export function personPieces(
  person: Person,
  k: number,
  of: { readonly m: Motion; readonly pose: HorsePose; readonly warps: Warps; readonly rope: number },
): Piece[] {
  const { parts } = handlerSkin(of.m, of.pose, person);
  const { arm: given, ...others } = parts;
  const warp: Warp = (x, y, z) => [x, y, z * person.tall];
  const body = Object.entries(others).map(([name, rings]): Piece => ({
    name: `handler ${k} ${name}`,
    rings,
    around: around(16),
    warp,
  }));
  const shoulder = given?.[0]?.centre;
  if (!shoulder) return body;
  const from = warp(...shoulder);
  const chin = of.warps.head(...headFrame(of.pose).at(0.62, 0.075 * of.m.withersM, 0));
  const hand = handAt(from, chin, person.leads);
  const own = { name: `handler ${k} arm`, rings: arm(from, hand, person), around: around(16), warp: stay };
  if (!person.leads) return [...body, own];
  return [...body, own, { name: 'rope', rings: rope(hand, chin, of.rope), around: 5, warp: stay }];
}
