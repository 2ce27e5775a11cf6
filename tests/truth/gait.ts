/**
 * How the drawn horse goes: prints fixed on the ground, hooves that turn over their toe tip and swing smoothly. Strides
 * may differ, and some may be a jog. Path metres: x along the path, y to the horse's left, z up; see path.ts.
 */
import { isFore, LIMBS, limbSide, type Limb, type Side } from '../../src/points.ts';
import { numbers } from '../support/kinematicLaws.ts';
import { curve, type Knots } from './curves.ts';

export type PerLimb = Readonly<Record<Limb, number>>;

/** How one stride is gone. */
export interface Manner {
  readonly strideLengthM: number;
  readonly strideDurationS: number;
  /** When each hoof lands, share of the stride; the left hind lands at 0. */
  readonly phases: PerLimb;
  /** Share of the stride that each hoof stands. */
  readonly duty: PerLimb;
  /** From each fore print to the next hind print of its side, m. */
  readonly overtrackM: Readonly<Record<Side, number>>;
  /** How much higher than at a walk the hooves and the trunk rise. */
  readonly spring: number;
}

/** The horse's type: factors on the usual sizes. */
export interface Build {
  /** From withers to croup. */
  readonly length: number;
  /** Depth and width of the trunk, thickness of neck and legs. */
  readonly girth: number;
  readonly neck: number;
  readonly legs: number;
}
export const USUAL_BUILD: Build = { length: 1, girth: 1, neck: 1, legs: 1 };

export interface WalkPlan {
  readonly seed: number;
  readonly withersM: number;
  readonly build: Build;
  readonly manner: Manner;
  /** Variation of length and duration from stride to stride, SD as a share; 0 = every stride is the same. */
  readonly strideCv: number;
  /** Strides gone otherwise, e.g. a jog: from which stride (0 begins at time 0), how many, how. */
  readonly bouts: readonly { readonly from: number; readonly strides: number; readonly manner: Manner }[];
  /** Mean of poll above withers, and its range within a stride. */
  readonly headAboveM: number;
  readonly nodM: number;
  /** The head turned to the left, degrees: mean, and as far again to each side within a stride. */
  readonly headTurnDeg: number;
  readonly headSwayDeg: number;
  readonly croupAboveM: number;
  /** Between left and right prints. */
  readonly baseWidthM: { readonly fore: number; readonly hind: number };
  /** Largest departure of the swinging hoof from the line between its prints: outward positive. */
  readonly swingOutM: PerLimb;
  /** Where the withers are at time 0, along the path. */
  readonly startM: number;
}

export interface TrueStance {
  readonly limb: Limb;
  readonly onS: number;
  readonly offS: number;
  /** Toe tip on the ground, path metres. */
  readonly printM: { readonly x: number; readonly y: number };
  /** Number of its stride; 0 begins at time 0. */
  readonly stride: number;
}

/** A walk of even beats: hind to same-side fore after `lag`, the right hind after `contralateral`. */
export function walkManner(of: {
  readonly strideLengthM: number;
  readonly strideDurationS: number;
  readonly overtrackM: number;
  readonly lag: number;
  readonly contralateral: number;
  readonly dutyFore: number;
  readonly dutyHind: number;
}): Manner {
  const { strideLengthM, strideDurationS, overtrackM, lag, contralateral, dutyFore, dutyHind } = of;
  return {
    strideLengthM,
    strideDurationS,
    phases: { LH: 0, LF: lag, RH: contralateral, RF: contralateral + lag },
    duty: { LH: dutyHind, RH: dutyHind, LF: dutyFore, RF: dutyFore },
    overtrackM: { left: overtrackM, right: overtrackM },
    spring: 1,
  };
}

/** A jog: diagonal pairs land together, two beats, a moment in the air between them. */
export const jogManner = (of: {
  readonly strideLengthM: number;
  readonly strideDurationS: number;
  readonly overtrackM: number;
  readonly duty: number;
}): Manner => ({
  strideLengthM: of.strideLengthM,
  strideDurationS: of.strideDurationS,
  // Counted on from where they land in a walk, so that a change of gait goes the short way.
  phases: { LH: 0, LF: 0.51, RH: 0.5, RF: 1.01 },
  duty: { LH: of.duty, RH: of.duty, LF: of.duty, RF: of.duty },
  overtrackM: { left: of.overtrackM, right: of.overtrackM },
  spring: 1.7,
});

const mix = (a: number, b: number, share: number): number => a + (b - a) * share;
const mixLimbs = (a: PerLimb, b: PerLimb, share: number): PerLimb =>
  Object.fromEntries(LIMBS.map((l) => [l, mix(a[l], b[l], share)])) as Record<Limb, number>;

function mixManner(a: Manner, b: Manner, share: number): Manner {
  return {
    strideLengthM: mix(a.strideLengthM, b.strideLengthM, share),
    strideDurationS: mix(a.strideDurationS, b.strideDurationS, share),
    phases: mixLimbs(a.phases, b.phases, share),
    duty: mixLimbs(a.duty, b.duty, share),
    overtrackM: {
      left: mix(a.overtrackM.left, b.overtrackM.left, share),
      right: mix(a.overtrackM.right, b.overtrackM.right, share),
    },
    spring: mix(a.spring, b.spring, share),
  };
}

/** The stride as planned: of a bout, of the usual manner, or half way between at a change of gait. */
function planned(p: WalkPlan, stride: number): Manner {
  const of = (k: number): Manner =>
    p.bouts.find((b) => k >= b.from && k < b.from + b.strides)?.manner ?? p.manner;
  const [here, next] = [of(stride), of(stride + 1)];
  return here === next ? here : mixManner(here, next, 0.5);
}

/** With the variation that this stride has of its own. */
function mannerOf(p: WalkPlan, stride: number): Manner {
  const manner = planned(p, stride);
  if (p.strideCv === 0) return manner;
  const random = numbers(p.seed * 7919 + stride + 100);
  random.normal();
  const longer = 1 + p.strideCv * random.normal();
  return {
    ...manner,
    strideLengthM: manner.strideLengthM * longer,
    strideDurationS: manner.strideDurationS * (1 + p.strideCv * random.normal()),
  };
}

export const FIRST = -4;
const LAST = 60;

interface Timeline {
  readonly manners: readonly Manner[];
  /** When each stride begins (the left hind lands), and where the withers are on average by then. */
  readonly beginS: readonly number[];
  readonly beginM: readonly number[];
  readonly way: Knots;
}
const timelines = new WeakMap<WalkPlan, Timeline>();

function timelineOf(p: WalkPlan): Timeline {
  const before = timelines.get(p);
  if (before) return before;
  const manners = Array.from({ length: LAST - FIRST }, (_, i) => mannerOf(p, FIRST + i));
  const sums = (pick: (m: Manner) => number, at0: number): number[] => {
    const list = [0];
    for (const m of manners) list.push((list[list.length - 1] ?? 0) + pick(m));
    const zero = list[-FIRST] ?? 0;
    return list.map((v) => v - zero + at0);
  };
  const beginS = sums((m) => m.strideDurationS, 0);
  const beginM = sums((m) => m.strideLengthM, p.startM);
  const way = beginS.map((s, i) => [s, beginM[i] ?? 0] as const);
  const made = { manners, beginS, beginM, way };
  timelines.set(p, made);
  return made;
}

/** How stride `stride` is gone. Defined from four strides before time 0 on. */
export function mannerAt(p: WalkPlan, stride: number): Manner {
  const manner = timelineOf(p).manners[stride - FIRST];
  if (!manner) throw new RangeError(`stride ${stride} is not in the plan`);
  return manner;
}

/** Strides since time 0, with the share of the one that is being gone. */
export function strideAt(p: WalkPlan, timeS: number): number {
  const { beginS } = timelineOf(p);
  let k = 0;
  while (k + 2 < beginS.length && (beginS[k + 1] ?? Infinity) <= timeS) k++;
  const [from, to] = [beginS[k] ?? 0, beginS[k + 1] ?? 1];
  return k + FIRST + (timeS - from) / (to - from);
}

/** Where the withers are on average, along the path: the way of each stride, speed without a jump. */
export const bodyXAt = (p: WalkPlan, timeS: number): number => curve(timelineOf(p).way, timeS);

/** The fore toe's middle place under the body, ahead of the withers, in withers heights. */
export const FORE_CENTRE_H = 0.045;

/**
 * The toe in the middle of its stance, ahead of the withers, m. For the hind toe it follows from the overtrack:
 * overtrack = (1 - lag) stride length + (half the difference of the stances' ways) + hind centre - fore centre.
 */
export function centreM(p: Pick<WalkPlan, 'withersM'>, m: Manner, limb: Limb): number {
  const fore = FORE_CENTRE_H * p.withersM;
  if (isFore(limb)) return fore;
  const own: Limb = limb === 'LH' ? 'LF' : 'RF';
  const side = limbSide(limb);
  const lag = (((m.phases[own] - m.phases[limb]) % 1) + 1) % 1;
  const later = (1 - lag + (m.duty[limb] - m.duty[own]) / 2) * m.strideLengthM;
  return m.overtrackM[side] + fore - later;
}

export const sideSign = (side: Side): 1 | -1 => (side === 'left' ? 1 : -1);
export const baseOf = (p: WalkPlan, limb: Limb): number => p.baseWidthM[isFore(limb) ? 'fore' : 'hind'];

/** The limb's stance of stride k. */
export function stance(p: WalkPlan, limb: Limb, k: number): TrueStance {
  const { beginS } = timelineOf(p);
  const m = mannerAt(p, k);
  const onS = (beginS[k - FIRST] ?? 0) + m.phases[limb] * m.strideDurationS;
  const offS = onS + m.duty[limb] * m.strideDurationS;
  return {
    limb,
    onS,
    offS,
    printM: {
      x: bodyXAt(p, (onS + offS) / 2) + centreM(p, m, limb),
      y: (sideSign(limbSide(limb)) * baseOf(p, limb)) / 2,
    },
    stride: k,
  };
}

/** All stances that share time with the clip. */
export function stances(p: WalkPlan, lastsS: number): TrueStance[] {
  const last = Math.min(LAST - 3, Math.ceil(strideAt(p, lastsS)) + 1);
  const turns = Array.from({ length: last + 3 }, (_, i) => i - 2);
  return LIMBS.flatMap((limb) => turns.map((k) => stance(p, limb, k))).filter(
    (s) => s.offS > 0 && s.onS < lastsS,
  );
}
