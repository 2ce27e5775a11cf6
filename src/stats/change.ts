/** Whether a measure differs between two days by more than its error: that, and nothing of what it means. */
import { WANTED } from '../advice/wanted.ts';
import { phaseDifference } from '../gait/circular.ts';
import { LENGTH_CV } from '../gait/lengths.ts';
import { DURATION_CV } from '../gait/rhythm.ts';
import { quadrature } from '../gait/statistics.ts';
import type { Measure, Measured } from '../gait/types.ts';
import { Z_975 } from './distributions.ts';
import { smallestDetectableChange, type WithinSubject } from './repeatability.ts';
import type { Interval, Untold } from './types.ts';

/** Below this the user's own repeats hardly tell their SD (its 95 % interval is 0.6 - 2.2 times it): our choice, no source. */
export const ENOUGH_DF = 6;

/** A measure on one day. */
export interface DayValue {
  readonly measure: Measure;
  readonly unit: string;
  /** The pass was warned of as oblique. */
  readonly isOblique: boolean;
  /** Of how many passes of that day it is the mean; 1 where not given. */
  readonly passes?: number;
  /** SD of what all passes of that day share, unit of the measure, such as the typed height; own repeats don't show it. */
  readonly sharedSd?: number;
}

/** What is known of how much the measure differs where nothing changed. */
export interface Known {
  /** Of single passes, from the user's own repeats; counts from ENOUGH_DF degrees of freedom on. */
  readonly ownRepeats: WithinSubject | null;
  /** Usual SD within a horse, unit of the measure (`usualSd`); null where none is known. */
  readonly usualSd: number | null;
  /** Shares of a stride that go round. */
  readonly isPhase?: boolean;
}

interface Told {
  /** After - before, with its 95 % interval, unit of the measure. */
  readonly change: Interval;
  /** Unit of the measure. */
  readonly smallestDetectable: number;
  readonly basis: 'ownRepeats' | 'fallback';
}
type Why = 'otherUnit' | 'refused' | 'oblique' | 'tooFewStrides' | 'repeatabilityUnknown';

export type ChangeVerdict =
  | (Told & { readonly verdict: 'larger' | 'smaller' | 'within' })
  | (Untold<Why> & { readonly verdict: 'cannotTell' });

/**
 * Larger or smaller than before by more than the smallest detectable change, or not, or why it can't be told.
 * Where nothing changed, `larger` or `smaller` comes out 5 times in 100 or less; 15 times, with own repeats, where
 * the passes of a day share an error as large as that of one pass and it was not given as `sharedSd`
 * (tests/stats/coverage.test.ts). Left and right sides are not told apart: give values of one side, or of both.
 */
export function changeVerdict(before: DayValue, after: DayValue, known: Known): ChangeVerdict {
  const days = comparable(before, after);
  if ('reason' in days) return { verdict: 'cannotTell', ...days };
  const [first, second] = days;
  const error = detectable([before, after], days, known);
  if (error === null) return { verdict: 'cannotTell', reason: 'repeatabilityUnknown' };
  const value = known.isPhase ? phaseDifference(second.value, first.value) : second.value - first.value;
  const size = error.smallestDetectable;
  const told = { change: { value, low: value - size, high: value + size }, ...error };
  if (Math.abs(value) <= size) return { verdict: 'within', ...told };
  return { verdict: value > 0 ? 'larger' : 'smaller', ...told };
}

function comparable(before: DayValue, after: DayValue): readonly [Measured, Measured] | Untold<Why> {
  const [first, second] = [before.measure, after.measure];
  if ('reason' in first || 'reason' in second) return { reason: 'refused' };
  if (before.unit !== after.unit) return { reason: 'otherUnit' };
  if (before.isOblique || after.isOblique) return { reason: 'oblique' };
  if (Math.min(first.n, second.n) < WANTED.strides) return { reason: 'tooFewStrides' };
  return [first, second];
}

/** Own repeats where there are enough of them, else the intervals of both values and the usual variation. */
function detectable(
  days: readonly DayValue[],
  measured: readonly Measured[],
  { ownRepeats, usualSd }: Known,
): Pick<Told, 'smallestDetectable' | 'basis'> | null {
  if (ownRepeats !== null && ownRepeats.degreesOfFreedom >= ENOUGH_DF && ownRepeats.sd.value > 0) {
    const sds = days.flatMap(({ passes = 1, sharedSd = 0 }) => [
      ownRepeats.sd.value / Math.sqrt(Math.max(1, passes)),
      sharedSd,
    ]);
    const sem = quadrature(...sds) / Math.SQRT2;
    return {
      smallestDetectable: smallestDetectableChange(sem, ownRepeats.degreesOfFreedom),
      basis: 'ownRepeats',
    };
  }
  if (usualSd === null) return null;
  const sds = measured.flatMap((m) => [Math.max(m.high - m.value, m.value - m.low) / Z_975, usualSd]);
  return { smallestDetectable: smallestDetectableChange(quadrature(...sds) / Math.SQRT2), basis: 'fallback' };
}

const WITH_LENGTH = /^(strideLength|speed)/;
const WITH_DURATION = /^(strideDuration|cadence)/;
const OVERTRACK = /^overtrack/;

/**
 * Usual SD within a horse of a side pass's measure, unit of the measure; null where none is known, nor can be assumed.
 * Stride length: 2 - 5 % (Drevemo et al. 1980, Equine Vet J 12:60). Our assumptions, no source: that it is as large from
 * day to day as from stride to stride; that speed and duration vary like that; that overtrack varies by as many metres.
 * @param name of the measure, as in `MEASURE_NAMES` or in withers heights
 * @param value of the measure
 * @param strideLength in the same unit; needed for overtrack only, which may be 0
 */
export function usualSd(name: string, value: number, strideLength: number | null): number | null {
  if (WITH_LENGTH.test(name)) return LENGTH_CV * Math.abs(value);
  if (WITH_DURATION.test(name)) return DURATION_CV * Math.abs(value);
  return OVERTRACK.test(name) && strideLength !== null ? LENGTH_CV * Math.abs(strideLength) : null;
}
