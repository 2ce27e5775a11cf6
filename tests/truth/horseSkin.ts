/** Rings of the horse's skin around its skeleton. All sizes in withers heights, scaled by h. */
import { isFore, type Limb } from '../../src/points.ts';
import { add, minus, mix, times, unit, type Vec } from './curves.ts';
import { type Motion } from './motion.ts';
import { sideSign } from './gait.ts';
import { beads, dense, type Bead, type Ring, type Shade } from './loft.ts';
import { BACK_H, CORONET_H, onHoof, type HorsePose, type LimbPose } from './pose.ts';

export interface Coat {
  readonly body: number;
  readonly mane: number;
  readonly muzzle: number;
  /** Lower legs: knee and hock downwards. */
  readonly legs: number;
  readonly hoof: number;
  /** White from the pastern, or from the middle of the cannon, downwards. */
  readonly socks: readonly Limb[];
  readonly stockings: readonly Limb[];
  readonly white: number;
  /** White down the face. */
  readonly blaze: boolean;
  /** Boots about the cannons; null for none. */
  readonly boots: number | null;
}
const PLAIN = { socks: [], stockings: [], white: 0xcfc4b4, blaze: false, boots: null } as const;
export const COATS = {
  chestnut: { ...PLAIN, body: 0xb46c3c, mane: 0x643720, muzzle: 0x5a3a2c, legs: 0xa86238, hoof: 0x51473e },
  bay: { ...PLAIN, body: 0x7a4526, mane: 0x1b1512, muzzle: 0x2c211b, legs: 0x1e1815, hoof: 0x2f2a26 },
  darkBay: { ...PLAIN, body: 0x3f2a1f, mane: 0x14110f, muzzle: 0x231a15, legs: 0x17130f, hoof: 0x2a2521 },
  black: { ...PLAIN, body: 0x221f1e, mane: 0x121110, muzzle: 0x1a1716, legs: 0x181614, hoof: 0x2b2725 },
  grey: { ...PLAIN, body: 0xb9b7b2, mane: 0xa3a19d, muzzle: 0x5d5a58, legs: 0x87847f, hoof: 0x4a4540 },
  dun: { ...PLAIN, body: 0xb89a6c, mane: 0x2a221b, muzzle: 0x3d3128, legs: 0x3a2f25, hoof: 0x3b342d },
  palomino: { ...PLAIN, body: 0xc79a55, mane: 0xd9cdb4, muzzle: 0x7a5b45, legs: 0xc09657, hoof: 0x6a5c4c },
} as const satisfies Record<string, Coat>;
export const CHESTNUT: Coat = COATS.chestnut;

/** Between the legs and under the belly little light arrives. */
const LEG_SHADE: Shade = { medial: 0.62, under: 0.25 };
const TRUNK_SHADE: Shade = { medial: 0, under: 0.4 };

const LEFT: Vec = [0, 1, 0];

/** x from the withers, top, bottom, half width. */
const TRUNK: readonly (readonly [number, number, number, number])[] = [
  [-0.865, 0.8, 0.74, 0.03],
  [-0.845, 0.86, 0.65, 0.085],
  [-0.81, 0.905, 0.58, 0.125],
  [-0.772, 0.94, 0.56, 0.145],
  [-0.67, 0.985, 0.545, 0.168],
  [-0.557, 1.0, 0.54, 0.175],
  [-0.45, 0.982, 0.53, 0.168],
  [-0.33, 0.95, 0.505, 0.165],
  [-0.2, 0.938, 0.478, 0.172],
  [-0.1, 0.972, 0.463, 0.165],
  [-0.05, 0.994, 0.458, 0.155],
  [0, 1.0, 0.46, 0.15],
  [0.05, 0.992, 0.468, 0.148],
  [0.11, 0.965, 0.49, 0.145],
  [0.17, 0.89, 0.53, 0.135],
  [0.22, 0.83, 0.57, 0.11],
  [0.25, 0.76, 0.62, 0.06],
];

export function trunkRings(m: Motion, pose: HorsePose, coat: Coat): Ring[] {
  const h = m.withersM;
  const { length, girth } = m.build;
  const rings = TRUNK.map(([x, top, bottom, half]): Ring => {
    // The back is longer or shorter; shoulder and quarters keep their size.
    const stretched = x >= 0 ? x : x < -BACK_H ? x - BACK_H * (length - 1) : x * length;
    const share = Math.min(1, Math.max(0, -x / BACK_H));
    const rise = (pose.withers[2] - h) * (1 - share) + (pose.croup[2] - h) * share;
    const y = pose.withers[1] * (1 - share) + pose.croup[1] * share;
    const depth = (top - bottom) * girth;
    return {
      centre: [pose.withers[0] + stretched * h, y, (top - depth / 2) * h + rise],
      a: [0, 0, (depth / 2) * h],
      b: [0, half * girth * h, 0],
      colour: coat.body,
      power: 2.15,
      shade: TRUNK_SHADE,
    };
  });
  return dense(rings, 5);
}

/** Neck: from inside the trunk to behind the poll. */
export function neckBeads(m: Motion, pose: HorsePose, coat: Coat): Bead[] {
  const h = m.withersM;
  const base = add(pose.withers, [0.06 * h, 0, -0.235 * h]);
  const end = add(pose.poll, [-0.025 * h, 0, -0.065 * h]);
  const at = (share: number, up: number): Vec => add(mix(base, end, share), [0, 0, up * h]);
  const bead = (place: Vec, depth: number, width: number): Bead => ({
    place,
    depth: depth * m.build.neck * h,
    width: width * m.build.neck * h,
    colour: coat.body,
    power: 2.1,
    shade: TRUNK_SHADE,
  });
  return [
    bead(at(-0.15, 0), 0.18, 0.09),
    bead(at(0.05, 0), 0.185, 0.105),
    bead(at(0.3, 0.006), 0.146, 0.08),
    bead(at(0.55, 0.012), 0.112, 0.062),
    bead(at(0.8, 0.018), 0.084, 0.052),
    bead(at(1, 0.004), 0.06, 0.045),
    bead(at(1.07, 0), 0.04, 0.035),
  ];
}

/** Share of the way poll to muzzle, below the line of the face, half depth, half width. */
const HEAD: readonly (readonly [number, number, number, number])[] = [
  [-0.06, 0.05, 0.03, 0.03],
  [0, 0.047, 0.047, 0.045],
  [0.14, 0.068, 0.072, 0.058],
  [0.32, 0.066, 0.071, 0.06],
  [0.48, 0.048, 0.055, 0.047],
  [0.65, 0.032, 0.043, 0.037],
  [0.82, 0.028, 0.04, 0.035],
  [0.93, 0.027, 0.039, 0.037],
  [0.985, 0.024, 0.03, 0.028],
  [1, 0.018, 0.018, 0.016],
];

export interface HeadFrame {
  /** A place of the head: share of the way from poll to muzzle, towards the jaw and to the left in m. */
  readonly at: (share: number, jawM: number, leftM: number) => Vec;
  readonly along: Vec;
  readonly jaw: Vec;
}

export function headFrame(pose: HorsePose): HeadFrame {
  const line = minus(pose.muzzle, pose.poll);
  const along = unit(line);
  const jaw: Vec = [along[2], 0, -along[0]];
  return {
    along,
    jaw,
    at: (share, jawM, leftM) => add(add(pose.poll, times(line, share)), add(times(jaw, jawM), [0, leftM, 0])),
  };
}

export function headBeads(m: Motion, pose: HorsePose, coat: Coat): Bead[] {
  const h = m.withersM;
  const frame = headFrame(pose);
  return HEAD.map(([share, jaw, depth, width]) => ({
    place: frame.at(share, jaw * h, 0),
    depth: depth * h,
    width: width * h,
    colour: share > 0.75 ? coat.muzzle : coat.body,
    power: 2.3,
  }));
}

type Row = readonly [place: Vec, depth: number, width: number, colour: number];

function lowerRows(m: Motion, name: Limb, limb: LimbPose, coat: Coat): Row[] {
  const h = m.withersM;
  const stocking = coat.stockings.includes(name) ? coat.white : coat.legs;
  const low = coat.socks.includes(name) ? coat.white : stocking;
  const cannon = coat.boots ?? stocking;
  const thicker = coat.boots === null ? 0 : 0.005;
  const back = (b: number): Vec => [-b * h, 0, 0];
  return [
    [mix(limb.middle, limb.fetlock, 0.2), 0.0275, 0.023, coat.legs],
    [mix(limb.middle, limb.fetlock, 0.26), 0.0265 + thicker, 0.0225 + thicker, cannon],
    [mix(limb.middle, limb.fetlock, 0.5), 0.0235 + thicker, 0.0195 + thicker, cannon],
    [mix(limb.middle, limb.fetlock, 0.82), 0.0245 + thicker, 0.021 + thicker, cannon],
    [add(limb.fetlock, back(0.004)), 0.03, 0.026, low],
    [mix(limb.fetlock, limb.coronet, 0.5), 0.0215, 0.0215, low],
    [limb.coronet, 0.028, 0.029, low],
    [mix(limb.coronet, limb.toe, 0.3), 0.018, 0.022, low],
  ];
}

function hindRows(m: Motion, name: Limb, limb: LimbPose, coat: Coat): Row[] {
  const h = m.withersM;
  const cannon = unit(minus(limb.middle, limb.fetlock));
  const back: Vec = [-cannon[2] * h, 0, cannon[0] * h];
  const thigh = add(limb.upper, [-0.105 * h, 0, 0.015 * h]);
  return [
    [add(limb.root, [0, 0, -0.04 * h]), 0.12, 0.07, coat.body],
    [add(mix(limb.root, limb.top, 0.75), [-0.02 * h, 0, 0]), 0.19, 0.082, coat.body],
    [mix(add(limb.top, [-0.02 * h, 0, 0]), thigh, 0.5), 0.185, 0.084, coat.body],
    [thigh, 0.135, 0.072, coat.body],
    [add(mix(limb.upper, limb.middle, 0.35), times(back, 0.02)), 0.085, 0.05, coat.body],
    [add(mix(limb.upper, limb.middle, 0.6), times(back, 0.012)), 0.06, 0.04, coat.body],
    [add(mix(limb.upper, limb.middle, 0.82), times(back, 0.014)), 0.044, 0.031, coat.legs],
    [add(limb.middle, times(back, 0.003)), 0.043, 0.034, coat.legs],
    ...lowerRows(m, name, limb, coat),
  ];
}

function foreRows(m: Motion, name: Limb, limb: LimbPose, coat: Coat): Row[] {
  const h = m.withersM;
  const side = Math.sign(limb.toe[1]);
  const blade = mix(limb.root, limb.top, 0.55);
  return [
    [limb.root, 0.06, 0.03, coat.body],
    [[blade[0] - 0.035 * h, side * 0.088 * h, blade[2]], 0.12, 0.05, coat.body],
    [add(mix(limb.top, limb.upper, 0.4), [-0.015 * h, -side * 0.006 * h, 0]), 0.115, 0.054, coat.body],
    [add(limb.upper, [0.005 * h, 0, 0]), 0.082, 0.05, coat.body],
    [mix(limb.upper, limb.middle, 0.3), 0.06, 0.043, coat.body],
    [mix(limb.upper, limb.middle, 0.6), 0.045, 0.034, coat.body],
    [mix(limb.upper, limb.middle, 0.84), 0.036, 0.03, coat.legs],
    [limb.middle, 0.037, 0.034, coat.legs],
    [mix(limb.middle, limb.fetlock, 0.12), 0.032, 0.029, coat.legs],
    ...lowerRows(m, name, limb, coat),
  ];
}

export function limbRings(m: Motion, name: Limb, limb: LimbPose, coat: Coat): Ring[] {
  const thick = m.build.legs;
  const rows = isFore(name) ? foreRows(m, name, limb, coat) : hindRows(m, name, limb, coat);
  const list = rows.map(([place, depth, width, colour]): Bead => ({
    place,
    depth: depth * thick * m.withersM,
    width: width * thick * m.withersM,
    colour,
    shade: LEG_SHADE,
  }));
  return beads(list, LEFT, 4);
}

/** The horny hoof, rigid: its lower front edge is the toe tip. */
export function hoofRings(m: Motion, limb: LimbPose, coat: Coat): Ring[] {
  const h = m.withersM;
  const { pitchRad } = limb.hoof;
  const at = (back: number, up: number): Vec => onHoof(limb.toe, pitchRad, back * h, up * h);
  const ring = (middle: Vec, front: Vec, width: number, colour: number): Ring => ({
    centre: middle,
    a: minus(front, middle),
    b: [0, -width * h, 0],
    colour,
    power: 2.2,
  });
  const dark = coat.hoof;
  return [
    ring(at(0.0365, 0), at(0, 0), 0.0365, dark),
    ring(at(0.0475, 0.02), at(0.0165, 0.0225), 0.034, dark),
    ring(at(0.0575, 0.036), at(CORONET_H.back - 0.0205, CORONET_H.up + 0.002), 0.03, dark),
  ];
}

export function tailRings(m: Motion, pose: HorsePose, coat: Coat): Ring[] {
  const h = m.withersM;
  const swing = Math.sin(2 * Math.PI * m.strideAt(pose.timeS) + 0.6);
  const row = (x: number, z: number, depth: number, width: number, sway: number): Bead => ({
    place: add(pose.tailhead, [(x + 0.01 * sway * swing) * h, 0.05 * sway * swing * h, z * h]),
    depth: depth * h,
    width: width * h,
    colour: coat.mane,
  });
  return beads(
    [
      row(0.03, -0.02, 0.022, 0.025, 0),
      row(-0.012, -0.03, 0.024, 0.028, 0),
      row(-0.062, -0.11, 0.032, 0.032, 0.2),
      row(-0.085, -0.22, 0.042, 0.04, 0.5),
      row(-0.09, -0.38, 0.046, 0.04, 0.8),
      row(-0.09, -0.52, 0.04, 0.032, 1),
      row(-0.08, -0.6, 0.015, 0.012, 1.2),
    ],
    LEFT,
    4,
  );
}

/** Mane: it lies along the crest and falls to the right. */
export function maneRings(m: Motion, pose: HorsePose, coat: Coat): Ring[] {
  const h = m.withersM;
  const neck = neckBeads(m, pose, coat);
  const along = unit(minus(pose.poll, pose.withers));
  const up: Vec = [-along[2], 0, along[0]];
  const side = sideSign('right');
  const rings = neck.slice(2, 6).map((bead, i): Ring => {
    const hang = ([0.012, 0.05, 0.055, 0.04][i] ?? 0) * h;
    const top = add(bead.place, times(up, bead.depth * 1.02));
    return {
      centre: add(top, add(times(up, -hang * 0.97), [0, side * bead.width * 0.74, 0])),
      a: add(times(up, hang), [0, -side * bead.width * 0.74, 0]),
      b: [0, 0.03 * h, 0.008 * h],
      colour: coat.mane,
    };
  });
  return dense(rings, 6);
}
