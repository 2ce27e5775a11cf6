import type { Limb, Side } from '../points.ts';
import { whyNoStrides, type PassFacts } from './facts.ts';
import { beatOf } from './jog.ts';
import { isMeasured, notBelowZero, notMeasured, toMeasure, type StrideMean } from './interval.ts';
import { lengthMeasures, type Lengths } from './lengthMeasures.ts';
import type { ReasonCode } from './reasons.ts';
import { dutyFactor, eventsOf, FAR_SD, limbPhases, nearFirst, phaseAfter } from './rhythm.ts';
import { seen } from './series.ts';
import type { Measure, Measures, SidePass } from './types.ts';

/** The shape of the swing moves hoof-on and hoof-off alike in every stride: SDs as share of the stride. */
const DUTY_SHAPE_SD = 0.017;
const LAG_SHAPE_SD = 0.003;

export interface PassMeasures extends Pick<SidePass, 'measures' | 'inWithersHeights'> {
  /** Of each pair of prints. */
  readonly overtracks: Lengths['overtracks'];
  readonly isWalk: boolean;
}

export function passMeasures(facts: PassFacts): PassMeasures {
  const times = timeMeasures(facts);
  const lengths = lengthMeasures(facts);
  const measures = { ...times, ...lengths.metric };
  const beat = beatOf(facts, measures);
  const all: PassMeasures = {
    measures: facts.tempo === 'no walk' ? withoutTimes(measures) : measures,
    inWithersHeights: lengths.inH,
    overtracks: lengths.overtracks,
    isWalk: beat === 'walk',
  };
  return beat === 'mixed' ? withoutStrides(all) : all;
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

export type TimeNames =
  | 'strideDurationS'
  | 'cadencePerMin'
  | 'lateralLagFraction'
  | 'dutyFactorFore'
  | 'dutyFactorHind'
  | 'limbPhaseFraction';

/**
 * The lag of a walk is a quarter of the stride, that of a jog half: half an interval wider than this tells little of
 * either (our choice, no source). So wide it gets where legs were taken for each other in some strides.
 */
const MOST_UNSURE_PHASE = 0.1;

const surePhase = (phase: Measure): Measure =>
  isMeasured(phase) && (phase.high - phase.low) / 2 > MOST_UNSURE_PHASE
    ? notMeasured('stepsDisagree')
    : phase;

function timeMeasures(facts: PassFacts): Pick<Measures, TimeNames> {
  const { stances, duration, data } = facts;
  const why = whyNoStrides(facts);
  const duty = (fore: boolean): StrideMean | null =>
    duration && nearFirst(data.span.nearSide, fore, (limb) => dutyFactor(stances, limb, duration.value));
  const phases = duration && limbPhases(stances, data.span.nearSide, duration.value);
  const phase = (limb: Limb): Measure =>
    surePhase(
      toMeasure(phases?.[limb] ?? null, limb === 'LH' ? [] : [LAG_SHAPE_SD], whyNoPhase(facts, limb, why)),
    );
  return {
    strideDurationS: notBelowZero(toMeasure(duration, [], why)),
    cadencePerMin: cadence(toMeasure(duration, [], why)),
    lateralLagFraction: surePhase(
      toMeasure(duration && lateralLag(facts, duration.value), [LAG_SHAPE_SD], why),
    ),
    dutyFactorFore: asShare(toMeasure(duty(true), [DUTY_SHAPE_SD], why)),
    dutyFactorHind: asShare(toMeasure(duty(false), [DUTY_SHAPE_SD], why)),
    limbPhaseFraction: { LH: phase('LH'), LF: phase('LF'), RH: phase('RH'), RF: phase('RF') },
  };
}

/** Means over strides of two gaits say nothing of either; how fast it went and how the head was carried stay. */
function withoutStrides(all: PassMeasures): PassMeasures {
  const { measures, inWithersHeights, overtracks } = all;
  const none = notMeasured('mixedGaits');
  return {
    ...all,
    measures: {
      ...measures,
      strideLengthM: none,
      strideDurationS: none,
      cadencePerMin: none,
      overtrackM: none,
      lateralLagFraction: none,
      dutyFactorFore: none,
      dutyFactorHind: none,
      limbPhaseFraction: { LH: none, LF: none, RH: none, RF: none },
    },
    inWithersHeights: { ...inWithersHeights, strideLengthH: none, overtrackH: none },
    overtracks: overtracks.map(() => ({ inM: none, inH: none })),
  };
}

/** A duty factor lies between 0 and 1, and so does what it may be. */
const asShare = (m: Measure): Measure =>
  'reason' in m ? m : { ...notBelowZero(m), high: Math.min(1, m.high) };

/** Phases need landings of the limb itself and of the left hind, from which they are counted. */
const whyNoPhase = ({ data, duration }: PassFacts, limb: Limb, why: ReasonCode): ReasonCode => {
  if (duration !== null) return 'hoofHidden';
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
