/** The true value of every measure of one side pass of a drawn clip, from its prints and events. */
import type { MeasureName } from '../../src/gait/types.ts';
import { isFore, LIMBS, limbSide, type Limb, type Side } from '../../src/points.ts';
import type { TrueStance, WalkPlan } from './gait.ts';
import type { Span } from './spans.ts';
import type { YardStance } from './truth.ts';

/** Of the strides of one side, and of both together. */
export interface BySide {
  readonly left: number;
  readonly right: number;
  readonly both: number;
}

export interface TrueSidePass {
  readonly kind: 'side';
  /** Which way the horse goes in the picture; it is also the side of it that is seen. */
  readonly direction: Side;
  /** While the whole horse is in the picture. */
  readonly startS: number;
  readonly endS: number;
  readonly measures: Readonly<Record<MeasureName, BySide>>;
  readonly limbPhaseFraction: Readonly<Record<Limb, number>>;
  /** Strides of the near hind that are jogged, and all. */
  readonly jogStrides: number;
  readonly strides: number;
}

interface Stride {
  readonly from: YardStance;
  readonly lengthM: number;
  readonly durationS: number;
}

const GRAVITY_MPS2 = 9.81;
/** Leg length over withers height in the Froude number (Griffin et al. 2004, J Exp Biol 207:4215). */
const LEG_H = 0.87;
const DIAGONAL = { LH: 'RF', RH: 'LF', LF: 'RH', RF: 'LH' } as const satisfies Record<Limb, Limb>;
const OF_SIDE = { left: ['LH', 'LF'], right: ['RH', 'RF'] } as const satisfies Record<Side, [Limb, Limb]>;

const mean = (list: readonly number[]): number => list.reduce((s, x) => s + x, 0) / list.length;
export const bySide = (of: (side: Side) => readonly number[]): BySide => {
  const [left, right] = [of('left'), of('right')];
  return { left: mean(left), right: mean(right), both: mean([...left, ...right]) };
};
const each = (of: (side: keyof BySide) => number): BySide => ({
  left: of('left'),
  right: of('right'),
  both: of('both'),
});

const apart = (a: YardStance, b: YardStance): number =>
  Math.hypot(b.yardM[0] - a.yardM[0], b.yardM[1] - a.yardM[1]);

export const inSpan = <T extends TrueStance>(all: readonly T[], { startS, endS }: Span): T[] =>
  all.filter((s) => s.onS >= startS && s.onS <= endS);

function stridesOf(list: readonly YardStance[], limb: Limb): Stride[] {
  const own = list.filter((s) => s.limb === limb).sort((a, b) => a.onS - b.onS);
  return own.slice(1).flatMap((to, i) => {
    const from = own[i];
    return from ? [{ from, lengthM: apart(from, to), durationS: to.onS - from.onS }] : [];
  });
}

const stridesOfSide = (list: readonly YardStance[], side: Side): Stride[] =>
  LIMBS.filter((limb) => limbSide(limb) === side).flatMap((limb) => stridesOf(list, limb));

/** Diagonal limbs land within an eighth of the stride of each other. */
function isJogged({ from, durationS }: Stride, all: readonly YardStance[]): boolean {
  const gaps = all
    .filter((s) => s.limb === DIAGONAL[from.limb])
    .map((s) => Math.abs(s.onS - from.onS) / durationS);
  return Math.min(...gaps) < 0.125;
}

/** Each fore print of a side with the next hind print of it. */
export function foreThenHind<T extends TrueStance>(list: readonly T[], side: Side): { fore: T; hind: T }[] {
  const [hindLimb, foreLimb] = OF_SIDE[side];
  const hinds = list.filter((s) => s.limb === hindLimb).sort((a, b) => a.onS - b.onS);
  return list
    .filter((s) => s.limb === foreLimb)
    .flatMap((fore) => {
      const hind = hinds.find((h) => h.onS > fore.onS);
      return hind ? [{ fore, hind }] : [];
    });
}

/** From each fore print to the next hind print of the same side, along the path, m. */
export const overtracksM = (list: readonly TrueStance[], side: Side): number[] =>
  foreThenHind(list, side).map(({ fore, hind }) => hind.printM.x - fore.printM.x);

const dutyFactors = (list: readonly YardStance[], side: Side, fore: boolean): number[] =>
  stridesOfSide(list, side)
    .filter((s) => isFore(s.from.limb) === fore)
    .map((s) => (s.from.offS - s.from.onS) / s.durationS);

/** When a limb lands in each stride of another, share of it. */
const phases = (list: readonly YardStance[], limb: Limb, strides: readonly Stride[]): number[] =>
  strides.flatMap(({ from, durationS }) => {
    const landing = list.find((s) => s.limb === limb && s.onS >= from.onS - 1e-9);
    return landing ? [(landing.onS - from.onS) / durationS] : [];
  });

function measuresOf(walk: WalkPlan, list: readonly YardStance[]): TrueSidePass['measures'] {
  const lengths = bySide((side) => stridesOfSide(list, side).map((s) => s.lengthM));
  const durations = bySide((side) => stridesOfSide(list, side).map((s) => s.durationS));
  const speed = each((side) => lengths[side] / durations[side]);
  const lags = (side: Side): number[] => {
    const [hind, fore] = OF_SIDE[side];
    return phases(list, fore, stridesOf(list, hind));
  };
  return {
    strideLengthM: lengths,
    strideDurationS: durations,
    cadencePerMin: each((side) => 60 / durations[side]),
    speedMps: speed,
    overtrackM: bySide((side) => overtracksM(list, side)),
    lateralLagFraction: bySide(lags),
    dutyFactorFore: bySide((side) => dutyFactors(list, side, true)),
    dutyFactorHind: bySide((side) => dutyFactors(list, side, false)),
    headAboveWithersM: each(() => walk.headAboveM),
    headNodM: each(() => walk.nodM),
    croupAboveWithersM: each(() => walk.croupAboveM),
    froude: each((side) => speed[side] ** 2 / (GRAVITY_MPS2 * LEG_H * walk.withersM)),
  };
}

const limbPhases = (list: readonly YardStance[]): Record<Limb, number> =>
  Object.fromEntries(LIMBS.map((limb) => [limb, mean(phases(list, limb, stridesOf(list, 'LH')))])) as Record<
    Limb,
    number
  >;

export function sidePass(
  walk: WalkPlan,
  span: Span & { readonly kind: Side },
  all: readonly YardStance[],
): TrueSidePass {
  const list = inSpan(all, span);
  const near = stridesOf(list, span.kind === 'left' ? 'LH' : 'RH');
  return {
    kind: 'side',
    direction: span.kind,
    startS: span.startS,
    endS: span.endS,
    measures: measuresOf(walk, list),
    limbPhaseFraction: limbPhases(list),
    jogStrides: near.filter((s) => isJogged(s, all)).length,
    strides: near.length,
  };
}
