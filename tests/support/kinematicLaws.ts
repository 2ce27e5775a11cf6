/** How the horse of kinematic.ts walks: options, strides, footfalls and the places of a limb, in path metres. */
import { LIMBS, type Limb, type Side } from '../../src/points.ts';

/** Mean and SD, share of withers height. */
export interface ErrorLaw {
  readonly mean: number;
  readonly sd: number;
}
/** How far forward and up of where it is a point is seen; `toe` stands for each of the four. */
export type ConstantErrors = Readonly<
  Partial<Record<'withers' | 'croup' | 'poll' | 'toe', { readonly forward: ErrorLaw; readonly up: ErrorLaw }>>
>;

export interface WalkOptions {
  seed: number;
  fps: number;
  /** Strides in view. */
  strides: number;
  withersM: number;
  strideLengthM: number;
  strideDurationS: number;
  overtrackM: number;
  /** Hind to same-side fore, share of the stride. */
  lag: number;
  /** Right hind after left hind. */
  contralateral: number;
  dutyFore: number;
  dutyHind: number;
  /** Variation from stride to stride, share. */
  strideCv: number;
  /** SD of a single footfall's time and place. */
  footfallSdS: number;
  footfallSdM: number;
  headAboveM: number;
  nodM: number;
  /** SD of the head's level from stride to stride, m, and of the nod's size, share. */
  headWanderM: number;
  nodCv: number;
  /** The head is carried higher by so much between two times, s from the first picture; null = not. */
  headUp: { fromS: number; toS: number; byM: number } | null;
  /** From this stride on (0 begins with the pictures) strides last and reach so many times as long; null = not. */
  paceChange: { stride: number; lasts: number; reaches: number } | null;
  croupAboveM: number;
  baseWidthM: number;
  direction: Side;
  obliquityDeg: number;
  distanceM: number;
  cameraHeightM: number;
  /** The camera looks down by this. */
  tiltDeg: number;
  focalShare: number;
  widthPx: number;
  heightPx: number;
  /** Power and length (share of the swing) of the ramps of the swing's velocity. */
  ramp: { upPower: number; up: number; downPower: number; down: number };
  /** Noise of points as a multiple of the published clips' (NOISE_PCT); 0 = exact. */
  noise: number;
  /** Share of hoof points that drop out. */
  dropOut: number;
  /** Errors that stay the same all along the pass. */
  constantErrors: ConstantErrors;
  /** SD of an error of the toe that all frames of a stance share, share of withers height. */
  stanceErrorH: number;
  dropFrames: number;
  startS: number;
}

export const WALK: WalkOptions = {
  seed: 1,
  fps: 60,
  strides: 4,
  withersM: 1.62,
  strideLengthM: 1.75,
  strideDurationS: 1.12,
  overtrackM: 0.12,
  lag: 0.24,
  contralateral: 0.5,
  dutyFore: 0.63,
  dutyHind: 0.62,
  strideCv: 0,
  footfallSdS: 0,
  footfallSdM: 0,
  headAboveM: 0.1,
  nodM: 0.12,
  headWanderM: 0,
  nodCv: 0,
  headUp: null,
  paceChange: null,
  croupAboveM: -0.02,
  baseWidthM: 0.18,
  direction: 'left',
  obliquityDeg: 0,
  distanceM: 9,
  cameraHeightM: 1.5,
  tiltDeg: 0,
  focalShare: 0.8,
  widthPx: 1920,
  heightPx: 1080,
  ramp: { upPower: 1.1, up: 0.36, downPower: 1.1, down: 0.36 },
  noise: 0,
  dropOut: 0,
  constantErrors: {},
  stanceErrorH: 0,
  dropFrames: 0,
  startS: 0,
};

export interface TrueStance {
  readonly limb: Limb;
  readonly onS: number;
  readonly offS: number;
  /** Along the path, m. */
  readonly printM: number;
}
/** Seeded numbers: a Weyl sequence through the mixer of MurmurHash3. */
export function numbers(seed: number): { uniform: () => number; normal: () => number } {
  let state = Math.imul(seed, 0x85ebca6b) >>> 0;
  const uniform = (): number => {
    state = (state + 0x9e3779b9) >>> 0;
    let x = state;
    x = Math.imul(x ^ (x >>> 16), 0x85ebca6b);
    x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35);
    return ((x ^ (x >>> 16)) >>> 0) / 4294967296;
  };
  const normal = (): number => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  return { uniform, normal };
}

export interface Body {
  readonly startS: number;
  readonly t: number[];
  readonly s: number[];
}

/** Start time and place of each stride of the body; strides vary. */
export function bodyOf(o: WalkOptions, n: ReturnType<typeof numbers>): Body {
  const t = [-3 * o.strideDurationS];
  const s = [-3 * o.strideLengthM];
  for (let k = 0; k < o.strides + 7; k++) {
    const common = o.strideCv * n.normal();
    const own = o.strideCv * 0.6 * n.normal();
    const change = o.paceChange !== null && k - 3 >= o.paceChange.stride ? o.paceChange : null;
    t.push((t[k] ?? 0) + o.strideDurationS * (1 + own) * (change?.lasts ?? 1));
    s.push((s[k] ?? 0) + o.strideLengthM * (1 + common) * (change?.reaches ?? 1));
  }
  return { startS: o.startS, t, s };
}

/** Place of the body at a time, along the path from where it is at stride 0. */
export function bodyAt(body: Body, time: number): number {
  let k = 0;
  while (k < body.t.length - 2 && (body.t[k + 1] ?? 0) <= time) k++;
  const t0 = body.t[k] ?? 0;
  const share = (time - t0) / ((body.t[k + 1] ?? 1) - t0);
  const s0 = body.s[k] ?? 0;
  return s0 + share * ((body.s[k + 1] ?? 0) - s0);
}

export function footfalls(
  o: WalkOptions,
  body: Body,
  n: ReturnType<typeof numbers>,
): Record<Limb, TrueStance[]> {
  const phase: Record<Limb, number> = {
    LH: 0,
    LF: o.lag,
    RH: o.contralateral,
    RF: o.contralateral + o.lag,
  };
  // Overtrack = (1 - lag) stride length - C (exact): C is the distance from hind to fore landing place in the body.
  const c = (1 - o.lag) * o.strideLengthM - o.overtrackM;
  const out: Record<Limb, TrueStance[]> = { LH: [], LF: [], RH: [], RF: [] };
  for (const limb of LIMBS) {
    const fore = limb.endsWith('F');
    for (let k = 0; k + 2 < body.t.length; k++) {
      const turn = Math.floor(phase[limb]);
      const t0 = body.t[k + turn] ?? 0;
      const duration = (body.t[k + turn + 1] ?? 0) - t0;
      const on = t0 + (phase[limb] - turn) * duration + o.footfallSdS * n.normal();
      const off = on + (fore ? o.dutyFore : o.dutyHind) * duration + o.footfallSdS * n.normal();
      const reach = fore ? c / 2 + 0.35 : -c / 2 + 0.35;
      const printM = bodyAt(body, on) + reach + o.footfallSdM * n.normal();
      out[limb].push({ limb, onS: on, offS: off, printM });
    }
  }
  return out;
}

/** Share of the way after a share of the swing: the integral of a velocity that ramps up, holds, and ramps down. */
export function rampWay(r: WalkOptions['ramp'], share: number): number {
  const { upPower: p, up, downPower: q, down } = r;
  const total = up / (p + 1) + (1 - up - down) + down / (q + 1);
  const x = Math.min(1, Math.max(0, share));
  if (x < up) return ((up / (p + 1)) * (x / up) ** (p + 1)) / total;
  if (x < 1 - down) return (up / (p + 1) + (x - up)) / total;
  return 1 - ((down / (q + 1)) * ((1 - x) / down) ** (q + 1)) / total;
}

interface Place {
  s: number;
  z: number;
}

export function limbPlaces(
  o: WalkOptions,
  list: readonly TrueStance[],
  time: number,
): { toe: Place; fetlock: Place } {
  const k = Math.max(
    0,
    list.findLastIndex((st) => st.onS <= time),
  );
  const here = list[k];
  const next = list[k + 1];
  if (!here || !next) return { toe: { s: 0, z: 0 }, fetlock: { s: 0, z: 0 } };
  const h = o.withersM;
  if (time < here.offS) {
    const share = (time - here.onS) / (here.offS - here.onS);
    // The pastern leans back after landing and forward before hoof-off; from 75 % the heel lifts while the toe stays.
    const heel = Math.max(0, (share - 0.75) / 0.25);
    return {
      toe: { s: here.printM, z: 0 },
      fetlock: {
        s: here.printM - 0.06 * h + 0.05 * h * share + 0.04 * h * heel ** 2,
        z: 0.1 * h + 0.015 * h * heel,
      },
    };
  }
  const share = (time - here.offS) / (next.onS - here.offS);
  const s = here.printM + rampWay(o.ramp, share) * (next.printM - here.printM);
  const lift = 0.07 * h * Math.sin(Math.PI * Math.sqrt(share)) ** 2;
  const back = 0.03 * h * (1 - share) - 0.06 * h * share;
  return { toe: { s, z: lift }, fetlock: { s: s + back, z: 0.1 * h + lift + 0.015 * h * (1 - share) } };
}
