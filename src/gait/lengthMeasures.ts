import type { Side } from '../points.ts';
import { whyNoStrides, type PassFacts } from './facts.ts';
import { notBelowZero, notMeasured, scaled, toMeasure, type StrideMean } from './interval.ts';
import {
  bodySpeedH,
  overtrackH,
  overtrackOf,
  strideLengthH,
  type OvertrackPair,
  type PrintAlong,
} from './lengths.ts';
import type { TimeNames } from './measures.ts';
import type { ReasonCode } from './reasons.ts';
import { FAR_SD } from './rhythm.ts';
import { groundDriftH, lengthRelSd, type PassScale } from './scale.ts';
import { quadrature } from './statistics.ts';
import type { GaitOptions, Measure, Measures, SidePass } from './types.ts';

const GRAVITY_MPS2 = 9.81;
/** Leg length over withers height in the Froude number (Griffin et al. 2004, J Exp Biol 207:4215; Bullimore & Burn 2006). */
const LEG_H = 0.87;
/** SD of a stick measurement where none is given, m: common practice, no source. */
export const STICK_SD_M = 0.01;
/** A constant error is in no range; of errors that go with the stride this is our assumption, no source. */
const NOD_BIAS_H = 0.007;
const TOO_OBLIQUE_TAN = Math.tan((30 * Math.PI) / 180);

type LengthNames = Exclude<keyof Measures, TimeNames>;
export interface Lengths {
  readonly metric: Pick<Measures, LengthNames>;
  readonly inH: SidePass['inWithersHeights'];
  /** Of each pair of prints. */
  readonly overtracks: readonly { readonly inM: Measure; readonly inH: Measure }[];
}

/** Lengths, heights and speed of a pass: in metres where the height is known, and in withers heights. */
export function lengthMeasures(facts: PassFacts): Lengths {
  const blocked = whyNoLengths(facts);
  const { scale, options, pairs } = facts;
  const unscaled = options.withersM === null ? notMeasured(whyNoMetres(options)) : null;
  if (blocked !== null || scale === null) {
    const none = notMeasured(blocked ?? 'scaleUnsure');
    return {
      metric: allLengths(unscaled ?? none),
      inH: {
        strideLengthH: none,
        overtrackH: none,
        headAboveWithersH: none,
        headNodH: none,
        croupAboveWithersH: none,
      },
      overtracks: pairs.map(() => ({ inM: unscaled ?? none, inH: none })),
    };
  }
  const why = whyNoStrides(facts);
  const h = lengthsH(facts, scale);
  const inH = lengthsIn(1, 0);
  const withersM = options.withersM;
  const inM = withersM === null ? null : lengthsIn(withersM, (options.withersSdM ?? STICK_SD_M) / withersM);
  const head = headLengths(facts, scale, why);
  const singles = pairs.map((pair) => singleOvertrack(pair, facts.data.span.nearSide));
  const stride = (to: ToMeasure): Measure => notBelowZero(to(h.stride, h.strideSystematic, why));
  const overtrack = (to: ToMeasure, m: StrideMean | null): Measure => to(m, h.overtrackSystematic(m), why);
  const speed = inM && notBelowZero(inM(h.speed, h.speedSystematic, why));
  return {
    metric:
      inM && speed && withersM !== null
        ? {
            strideLengthM: stride(inM),
            speedMps: speed,
            overtrackM: overtrack(inM, h.overtrack),
            headAboveWithersM: head(inM).above,
            headNodM: head(inM).nod,
            croupAboveWithersM: head(inM).croup,
            froude: froude(speed, withersM),
          }
        : allLengths(notMeasured(whyNoMetres(options))),
    inH: {
      strideLengthH: stride(inH),
      overtrackH: overtrack(inH, h.overtrack),
      headAboveWithersH: head(inH).above,
      headNodH: head(inH).nod,
      croupAboveWithersH: head(inH).croup,
    },
    overtracks: singles.map((m) => ({
      inM: inM ? overtrack(inM, m) : notMeasured(whyNoMetres(options)),
      inH: overtrack(inH, m),
    })),
  };
}

/** Clearly beyond 30 degrees: by one SD of an angle that depends on the unknown focal length. */
export const isTooOblique = ({ tan }: PassScale): boolean => Math.abs(tan.value) - tan.sd > TOO_OBLIQUE_TAN;

function whyNoLengths({ scale, data, duration }: PassFacts): ReasonCode | null {
  if (scale === null) return 'scaleUnsure';
  if (isTooOblique(scale)) return 'tooOblique';
  return groundDriftH(data, scale, duration?.value ?? 1.2) > 0.08 ? 'groundUnsure' : null;
}

const allLengths = (m: Measure): Pick<Measures, LengthNames> => ({
  strideLengthM: m,
  speedMps: m,
  overtrackM: m,
  headAboveWithersM: m,
  headNodM: m,
  croupAboveWithersM: m,
  froude: m,
});

export interface LengthsH {
  readonly stride: StrideMean | null;
  readonly strideSystematic: readonly number[];
  readonly speed: StrideMean | null;
  readonly speedSystematic: readonly number[];
  readonly overtrack: StrideMean | null;
  /** Of the mean, or of one overtrack. */
  readonly overtrackSystematic: (m: StrideMean | null) => readonly number[];
}

/**
 * Stride length, speed and overtrack in withers heights, with the SDs of their systematic errors. `sure`: how sure the
 * scale is, where that is asked for another one than it is.
 */
export function lengthsH(facts: PassFacts, scale: PassScale, sure: PassScale = scale): LengthsH {
  const { data, duration, prints, pairs, balance } = facts;
  const strideS = duration?.value ?? null;
  const speed = scaled(bodySpeedH(data, scale, strideS), balance.trunk);
  const seenStride = strideLengthH(
    prints,
    data.span.nearSide,
    strideS,
    speed && strideS !== null ? speed.value * strideS : null,
  );
  const stride = seenStride ?? byWayOfSpeed(speed, duration);
  const relSd = quadrature(lengthRelSd(sure, ...rangeF(prints, scale)), balance.relSd);
  const drift = groundDriftH(data, scale, strideS ?? 1.2);
  const disagreement = stride && speed && strideS ? Math.abs(stride.value / (speed.value * strideS) - 1) : 0;
  const unexplained = Math.max(0, disagreement - 0.03) / 2;
  const near = sure.nearShare.sd;
  const twoToes = Math.SQRT2 * scale.errors.toeForward;
  const overtrack = overtrackH(pairs, data.span.nearSide);
  return {
    stride,
    strideSystematic: [(stride?.value ?? 0) * quadrature(relSd, near, unexplained), drift],
    speed,
    speedSystematic: [
      (speed?.value ?? 0) * quadrature(relSd, unexplained),
      strideS ? drift / strideS : drift,
    ],
    overtrack,
    overtrackSystematic: (m) => [(m?.value ?? 0) * quadrature(relSd, near), drift * 0.5, twoToes],
  };
}

/** From the first to the last print; about one stride around the middle where there are fewer than two. */
function rangeF(prints: readonly PrintAlong[], scale: PassScale): [number, number] {
  const places = prints.flatMap((p) => p.stance.print?.f ?? []);
  const { atForwardPx, heightPx } = scale.view;
  if (places.length < 2) return [atForwardPx - heightPx / 2, atForwardPx + heightPx / 2];
  const [from, to] = [Math.min(...places), Math.max(...places)];
  return to - from > heightPx / 2 ? [from, to] : [from - heightPx / 4, to + heightPx / 4];
}

/** No hoof seen to print twice: stride length = speed x duration. */
function byWayOfSpeed(speed: StrideMean | null, duration: StrideMean | null): StrideMean | null {
  if (!speed || !duration) return null;
  const value = speed.value * duration.value;
  const sd = quadrature(speed.sd * duration.value, duration.sd * speed.value);
  return {
    ...duration,
    value,
    sd,
    degreesOfFreedom: Math.min(speed.degreesOfFreedom, duration.degreesOfFreedom),
  };
}

type ToMeasure = (m: StrideMean | null, systematicH: readonly number[], otherwise: ReasonCode) => Measure;

/** Lengths in withers heights as measures in a unit that the withers height has `unit` of, to a relative SD. */
const lengthsIn =
  (unit: number, unitRelSd: number): ToMeasure =>
  (m, systematicH, otherwise) =>
    toMeasure(
      scaled(m, unit),
      [...systematicH.map((s) => s * unit), (m?.value ?? 0) * unit * unitRelSd],
      otherwise,
    );

/** One overtrack by itself, with the errors of its two prints. */
function singleOvertrack(pair: OvertrackPair, nearSide: Side): StrideMean {
  const { value, sd } = overtrackOf(pair);
  const far = pair.side === nearSide ? 1 : FAR_SD;
  return { value, sd: far * sd, degreesOfFreedom: Number.MAX_SAFE_INTEGER, n: 1, side: pair.side };
}

function headLengths(
  { head, duration }: PassFacts,
  scale: PassScale,
  why: ReasonCode,
): (to: ToMeasure) => Record<'above' | 'nod' | 'croup', Measure> {
  const reason: ReasonCode = duration === null ? why : 'pointHidden';
  const { withersUp, pollUp, croupUp } = scale.errors;
  return (to) => {
    const one = (m: StrideMean | null, bias: number): Measure =>
      to(m, [bias, (m?.value ?? 0) * scale.heightRelSd], reason);
    return {
      above: one(head.headAboveWithersH, quadrature(withersUp, pollUp)),
      nod: notBelowZero(one(head.headNodH, NOD_BIAS_H)),
      croup: one(head.croupAboveWithersH, quadrature(withersUp, croupUp)),
    };
  };
}

/** A marked distance that had given the height would have set it. */
const whyNoMetres = (options: GaitOptions): ReasonCode =>
  options.groundDistance ? 'distanceUnread' : 'withersHeightMissing';

/** v^2 / (g L) with L = 0.87 H. */
function froude(speed: Measure, withersM: number): Measure {
  if ('reason' in speed) return speed;
  const of = (v: number): number => v ** 2 / (GRAVITY_MPS2 * LEG_H * withersM);
  return { ...speed, value: of(speed.value), low: of(speed.low), high: of(speed.high) };
}
