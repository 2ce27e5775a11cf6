/** The true value of every measure of each side pass of a drawn clip, from its prints and events. */
import { isFore, LIMBS, limbSide, type Limb, type Side } from '../../src/points.ts';
import type { MeasureName } from '../../src/gait/types.ts';
import type { ClipPlan } from './plans.ts';
import type { TruthFrame, YardStance } from './truth.ts';

/** Of the strides of one side, and of both together. */
export interface BySide {
  readonly left: number;
  readonly right: number;
  readonly both: number;
}

export interface TruePass {
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

const GRAVITY_MPS2 = 9.81;
/** Leg length over withers height in the Froude number (Griffin et al. 2004, J Exp Biol 207:4215). */
const LEG_H = 0.87;

const mean = (list: readonly number[]): number => list.reduce((s, x) => s + x, 0) / list.length;
const bySide = (of: (side: Side) => readonly number[]): BySide => {
  const [left, right] = [of('left'), of('right')];
  return { left: mean(left), right: mean(right), both: mean([...left, ...right]) };
};

/** Runs of frames in which the whole horse is seen from one side. */
function sideRuns(frames: readonly TruthFrame[]): { direction: Side; startS: number; endS: number }[] {
  const runs: { direction: Side; startS: number; endS: number }[] = [];
  let open = false;
  for (const { whole, view, timeS } of frames) {
    const last = runs[runs.length - 1];
    if (!whole || (view !== 'left' && view !== 'right')) open = false;
    else if (open && last?.direction === view) last.endS = timeS;
    else {
      runs.push({ direction: view, startS: timeS, endS: timeS });
      open = true;
    }
  }
  return runs;
}

const apart = (a: YardStance, b: YardStance): number =>
  Math.hypot(b.yardM[0] - a.yardM[0], b.yardM[1] - a.yardM[1]);

interface Stride {
  readonly from: YardStance;
  readonly lengthM: number;
  readonly durationS: number;
}

/** Diagonal limbs land within an eighth of the stride of each other. */
function isJogged({ from, durationS }: Stride, all: readonly YardStance[]): boolean {
  const diagonal: Record<Limb, Limb> = { LH: 'RF', RH: 'LF', LF: 'RH', RF: 'LH' };
  const gaps = all
    .filter((s) => s.limb === diagonal[from.limb])
    .map((s) => Math.abs(s.onS - from.onS) / durationS);
  return Math.min(...gaps) < 0.125;
}

export function sidePassesOf(
  plan: ClipPlan,
  frames: readonly TruthFrame[],
  all: readonly YardStance[],
): TruePass[] {
  if (!('walk' in plan.going)) return [];
  const { walk } = plan.going;
  return sideRuns(frames)
    .filter(({ startS, endS }) => endS - startS > walk.manner.strideDurationS)
    .map(({ direction, startS, endS }) => {
      const list = all.filter((s) => s.onS >= startS && s.onS <= endS);
      const stridesOf = (limb: Limb): Stride[] => {
        const own = list.filter((s) => s.limb === limb).sort((a, b) => a.onS - b.onS);
        return own.slice(1).flatMap((to, i) => {
          const from = own[i];
          return from ? [{ from, lengthM: apart(from, to), durationS: to.onS - from.onS }] : [];
        });
      };
      const strides = (side: Side): Stride[] => LIMBS.filter((l) => limbSide(l) === side).flatMap(stridesOf);
      const lengths = bySide((side) => strides(side).map((s) => s.lengthM));
      const durations = bySide((side) => strides(side).map((s) => s.durationS));
      const each = (of: (side: Side) => number): BySide => ({
        left: of('left'),
        right: of('right'),
        both: of('both' as Side),
      });
      const speed = each((side) => lengths[side] / durations[side]);
      const duty = (fore: boolean): BySide =>
        bySide((side) =>
          strides(side)
            .filter((s) => isFore(s.from.limb) === fore)
            .map((s) => (s.from.offS - s.from.onS) / s.durationS),
        );
      const nextHind = (fore: YardStance): YardStance | undefined =>
        list
          .filter((h) => !isFore(h.limb) && limbSide(h.limb) === limbSide(fore.limb) && h.onS > fore.onS)
          .sort((a, b) => a.onS - b.onS)[0];
      const overtracks = bySide((side) =>
        list
          .filter((s) => isFore(s.limb) && limbSide(s.limb) === side)
          .flatMap((fore) => {
            const hind = nextHind(fore);
            return hind ? [hind.printM.x - fore.printM.x] : [];
          }),
      );
      const phase = (limb: Limb, from: YardStance, durationS: number): number[] => {
        const landing = list.find((s) => s.limb === limb && s.onS >= from.onS - 1e-9);
        return landing ? [(landing.onS - from.onS) / durationS] : [];
      };
      const lag = bySide((side) => {
        const [hind, fore]: [Limb, Limb] = side === 'left' ? ['LH', 'LF'] : ['RH', 'RF'];
        return stridesOf(hind).flatMap((s) => phase(fore, s.from, s.durationS));
      });
      const same = (value: number): BySide => ({ left: value, right: value, both: value });
      const near = stridesOf(direction === 'left' ? 'LH' : 'RH');
      return {
        kind: 'side',
        direction,
        startS,
        endS,
        measures: {
          strideLengthM: lengths,
          strideDurationS: durations,
          cadencePerMin: each((side) => 60 / durations[side]),
          speedMps: speed,
          overtrackM: overtracks,
          lateralLagFraction: lag,
          dutyFactorFore: duty(true),
          dutyFactorHind: duty(false),
          headAboveWithersM: same(walk.headAboveM),
          headNodM: same(walk.nodM),
          croupAboveWithersM: same(walk.croupAboveM),
          froude: each((side) => speed[side] ** 2 / (GRAVITY_MPS2 * LEG_H * walk.withersM)),
        },
        limbPhaseFraction: Object.fromEntries(
          LIMBS.map((limb) => [limb, mean(stridesOf('LH').flatMap((s) => phase(limb, s.from, s.durationS)))]),
        ) as Record<Limb, number>,
        jogStrides: near.filter((s) => isJogged(s, all)).length,
        strides: near.length,
      };
    });
}
