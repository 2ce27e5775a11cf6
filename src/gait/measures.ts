import { LIMBS, limbSide, type Limb, type Side } from '../points.ts';
import type { Balance } from './balance.ts';
import type { HeadMeans } from './head.ts';
import { notMeasured, scaled, toMeasure, type StrideMean } from './interval.ts';
import { bodySpeedH, overtrackH, strideLengthH, type OvertrackPair, type PrintAlong } from './lengths.ts';
import { CONSTANT_SD_H } from './pointErrors.ts';
import type { ReasonCode } from './reasons.ts';
import { dutyFactor, eventsOf, FAR_SD, limbPhases, nearFirst, phaseAfter } from './rhythm.ts';
import { groundDriftH, lengthRelSd, type PassScale } from './scale.ts';
import { seen, type SpanData } from './series.ts';
import type { Tempo } from './slowMotion.ts';
import type { FoundStance } from './stances.ts';
import { quadrature } from './statistics.ts';
import type { GaitOptions, Measure, Measures, SidePass } from './types.ts';

export interface PassFacts {
  readonly data: SpanData;
  readonly stances: readonly FoundStance[];
  readonly duration: StrideMean | null;
  readonly tempo: Tempo;
  /** A duration was found in which the body goes no stride's length. */
  readonly stridesUnsure: boolean;
  readonly scale: PassScale | null;
  readonly balance: Balance;
  readonly prints: readonly PrintAlong[];
  readonly pairs: readonly OvertrackPair[];
  readonly head: HeadMeans;
  readonly options: GaitOptions;
}

const GRAVITY_MPS2 = 9.81;
/** Leg length over withers height in the Froude number (Griffin et al. 2004, J Exp Biol 207:4215; Bullimore & Burn 2006). */
const LEG_H = 0.87;
/** SD of a stick measurement where none is given, m: common practice, no source. */
const STICK_SD_M = 0.01;
/** The shape of the swing moves hoof-on and hoof-off alike in every stride: SDs as share of the stride. */
const DUTY_SHAPE_SD = 0.017;
const LAG_SHAPE_SD = 0.003;
/** Differences of two points that are each seen a little off, all along the pass: SDs in withers heights. */
const OVERTRACK_BIAS_H = Math.SQRT2 * CONSTANT_SD_H.toeForward;
const HEAD_BIAS_H = quadrature(CONSTANT_SD_H.withersUp, CONSTANT_SD_H.pollUp);
const CROUP_BIAS_H = quadrature(CONSTANT_SD_H.withersUp, CONSTANT_SD_H.croupUp);
/** A constant error is in no range; of errors that go with the stride this is our assumption, no source. */
const NOD_BIAS_H = 0.007;
const TOO_OBLIQUE_TAN = Math.tan((30 * Math.PI) / 180);

export function passMeasures(facts: PassFacts): Pick<SidePass, 'measures' | 'inWithersHeights'> {
  const times = timeMeasures(facts);
  const lengths = lengthMeasures(facts);
  const measures = { ...times, ...lengths.metric };
  return {
    measures: facts.tempo === 'no walk' ? withoutTimes(measures) : measures,
    inWithersHeights: { strideLengthH: lengths.strideLengthH, overtrackH: lengths.overtrackH },
  };
}

/** Lengths and phases are the same in slow motion; seconds are not those of the horse. */
function withoutTimes(measures: Measures): Measures {
  const none = (m: Measure): Measure => ('reason' in m ? m : notMeasured('slowMotion'));
  return {
    ...measures,
    strideDurationS: none(measures.strideDurationS),
    cadencePerMin: none(measures.cadencePerMin),
    speedMps: none(measures.speedMps),
    froude: none(measures.froude),
  };
}

/** Why nothing can be said of the strides: hidden hooves, or too short a pass. */
function whyNoStrides({ data, stridesUnsure }: PassFacts): ReasonCode {
  if (stridesUnsure) return 'stridesUnsure';
  const near = LIMBS.filter((limb) => limbSide(limb) === data.span.nearSide);
  const share =
    near.reduce((s, limb) => s + seen(data.hooves[limb]).length, 0) / (2 * Math.max(1, data.timesS.length));
  if (data.frameS > 1 / 8) return 'tooFewFrames';
  return share < 0.5 ? 'hoofHidden' : 'tooFewStrides';
}

type TimeNames =
  | 'strideDurationS'
  | 'cadencePerMin'
  | 'lateralLagFraction'
  | 'dutyFactorFore'
  | 'dutyFactorHind'
  | 'limbPhaseFraction';

function timeMeasures(facts: PassFacts): Pick<Measures, TimeNames> {
  const { stances, duration, data } = facts;
  const why = whyNoStrides(facts);
  const duty = (fore: boolean): StrideMean | null =>
    duration && nearFirst(data.span.nearSide, fore, (limb) => dutyFactor(stances, limb, duration.value));
  const phases = duration && limbPhases(stances, data.span.nearSide, duration.value);
  const phase = (limb: Limb): Measure =>
    toMeasure(phases?.[limb] ?? null, limb === 'LH' ? [] : [LAG_SHAPE_SD], whyNoPhase(facts, limb, why));
  return {
    strideDurationS: notBelowZero(toMeasure(duration, [], why)),
    cadencePerMin: cadence(toMeasure(duration, [], why)),
    lateralLagFraction: toMeasure(duration && lateralLag(facts, duration.value), [LAG_SHAPE_SD], why),
    dutyFactorFore: asShare(toMeasure(duty(true), [DUTY_SHAPE_SD], why)),
    dutyFactorHind: asShare(toMeasure(duty(false), [DUTY_SHAPE_SD], why)),
    limbPhaseFraction: { LH: phase('LH'), LF: phase('LF'), RH: phase('RH'), RF: phase('RF') },
  };
}

/** No length, duration, speed or range is below 0, nor may it be. */
const notBelowZero = (m: Measure): Measure => ('reason' in m ? m : { ...m, low: Math.max(0, m.low) });

/** A duty factor lies between 0 and 1, and so does what it may be. */
const asShare = (m: Measure): Measure =>
  'reason' in m ? m : { ...notBelowZero(m), high: Math.min(1, m.high) };

/** Phases need the limb itself and the left hind, from which they are counted. */
const whyNoPhase = ({ data }: PassFacts, limb: Limb, why: ReasonCode): ReasonCode => {
  const isHidden = (hoof: Limb): boolean => seen(data.hooves[hoof]).length < 0.5 * data.timesS.length;
  return isHidden(limb) || isHidden('LH') ? 'hoofHidden' : why;
};

function cadence(duration: Measure): Measure {
  if ('reason' in duration || duration.low <= 0)
    return 'reason' in duration ? duration : notMeasured('tooFewStrides');
  return { ...duration, value: 60 / duration.value, low: 60 / duration.high, high: 60 / duration.low };
}

function lateralLag({ stances, data }: PassFacts, strideS: number): StrideMean | null {
  const of = (side: Side): StrideMean | null => {
    const [hind, fore]: [Limb, Limb] = side === 'left' ? ['LH', 'LF'] : ['RH', 'RF'];
    return phaseAfter(eventsOf(stances, fore, 'on'), eventsOf(stances, hind, 'on'), strideS, side);
  };
  const near = data.span.nearSide;
  const far = near === 'left' ? 'right' : 'left';
  const other = of(near) ? null : of(far);
  return of(near) ?? (other && { ...other, sd: FAR_SD * other.sd });
}

type LengthNames = Exclude<keyof Measures, TimeNames>;
interface Lengths {
  readonly metric: Pick<Measures, LengthNames>;
  readonly strideLengthH: Measure;
  readonly overtrackH: Measure;
}

function lengthMeasures(facts: PassFacts): Lengths {
  const blocked = whyNoLengths(facts);
  const { scale, options } = facts;
  if (blocked !== null || scale === null) {
    const none = notMeasured(blocked ?? 'scaleUnsure');
    const metric = options.withersM === null ? notMeasured('withersHeightMissing') : none;
    return { metric: allLengths(metric), strideLengthH: none, overtrackH: none };
  }
  const why = whyNoStrides(facts);
  const h = lengthsH(facts, scale);
  const inH = {
    strideLengthH: notBelowZero(toMeasure(h.stride, h.strideSystematic, why)),
    overtrackH: toMeasure(h.overtrack, h.overtrackSystematic, why),
  };
  if (options.withersM === null) return { metric: allLengths(notMeasured('withersHeightMissing')), ...inH };
  return { metric: metricLengths(facts, h, options.withersM, why), ...inH };
}

function whyNoLengths({ scale, data, duration }: PassFacts): ReasonCode | null {
  if (scale === null) return 'scaleUnsure';
  // Clearly beyond 30 degrees: by one SD of an angle that depends on the unknown focal length.
  if (Math.abs(scale.tan.value) - scale.tan.sd > TOO_OBLIQUE_TAN) return 'tooOblique';
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

interface LengthsH {
  readonly stride: StrideMean | null;
  readonly strideSystematic: readonly number[];
  readonly speed: StrideMean | null;
  readonly speedSystematic: readonly number[];
  readonly overtrack: StrideMean | null;
  readonly overtrackSystematic: readonly number[];
}

/** Stride length, speed and overtrack in withers heights, with the SDs of their systematic errors. */
function lengthsH(facts: PassFacts, scale: PassScale): LengthsH {
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
  const relSd = quadrature(lengthRelSd(scale, ...rangeF(prints, scale)), balance.relSd);
  const drift = groundDriftH(data, scale, strideS ?? 1.2);
  const disagreement = stride && speed && strideS ? Math.abs(stride.value / (speed.value * strideS) - 1) : 0;
  const unexplained = Math.max(0, disagreement - 0.03) / 2;
  const near = scale.nearShare.sd;
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
    overtrackSystematic: [(overtrack?.value ?? 0) * quadrature(relSd, near), drift * 0.5, OVERTRACK_BIAS_H],
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

function metricLengths(
  facts: PassFacts,
  h: LengthsH,
  withersM: number,
  why: ReasonCode,
): Pick<Measures, LengthNames> {
  const { head, options } = facts;
  const stick = (options.withersSdM ?? STICK_SD_M) / withersM;
  const metres = (m: StrideMean | null, systematicH: readonly number[], reason: ReasonCode): Measure =>
    toMeasure(
      scaled(m, withersM),
      [...systematicH.map((s) => s * withersM), (m?.value ?? 0) * withersM * stick],
      reason,
    );
  const headSystematic = (bias: number, m: StrideMean | null): number[] => [
    bias,
    (m?.value ?? 0) * (facts.scale?.heightRelSd ?? 0),
  ];
  const whyHead: ReasonCode = facts.duration === null ? why : 'pointHidden';
  const one = (m: StrideMean | null, bias: number): Measure => metres(m, headSystematic(bias, m), whyHead);
  const speed = notBelowZero(metres(h.speed, h.speedSystematic, why));
  return {
    strideLengthM: notBelowZero(metres(h.stride, h.strideSystematic, why)),
    speedMps: speed,
    overtrackM: metres(h.overtrack, h.overtrackSystematic, why),
    headAboveWithersM: one(head.headAboveWithersH, HEAD_BIAS_H),
    headNodM: notBelowZero(one(head.headNodH, NOD_BIAS_H)),
    croupAboveWithersM: one(head.croupAboveWithersH, CROUP_BIAS_H),
    froude: froude(speed, withersM),
  };
}

/** v^2 / (g L) with L = 0.87 H. */
function froude(speed: Measure, withersM: number): Measure {
  if ('reason' in speed) return speed;
  const of = (v: number): number => v ** 2 / (GRAVITY_MPS2 * LEG_H * withersM);
  return { ...speed, value: of(speed.value), low: of(speed.low), high: of(speed.high) };
}
