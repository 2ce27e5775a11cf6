import { mean, sum } from 'simple-statistics';
import { chiSquared, t975, Z_975 } from './distributions.ts';
import type { MeanSquares } from './meanSquares.ts';
import type { Interval, Untold } from './types.ts';

/** How much one horse's repeats of one day differ among themselves. */
export interface WithinSubject {
  /** Standard deviation of a single repeat, unit of the data. */
  readonly sd: Interval;
  readonly degreesOfFreedom: number;
}

/**
 * Within-subject standard deviation, pooled: one list for each horse and day, with its repeats; lists of one are left out
 * (Bland & Altman 1996, BMJ 313:744). The interval is that of a variance of normal data (chi-squared).
 * Repeats of one day don't show what differs from day to day, such as another place of the camera.
 */
export function withinSubjectSd(
  repeats: readonly (readonly number[])[],
): WithinSubject | Untold<'tooFewRepeats' | 'notFinite'> {
  if (!repeats.flat().every(Number.isFinite)) return { reason: 'notFinite' };
  const used = repeats.filter((own) => own.length > 1);
  const df = sum(used.map((own) => own.length - 1));
  if (df === 0) return { reason: 'tooFewRepeats' };
  const squares = sum(
    used.flatMap((own) => {
      const middle = mean([...own]);
      return own.map((x) => (x - middle) ** 2);
    }),
  );
  const sd = {
    value: Math.sqrt(squares / df),
    low: Math.sqrt(squares / chiSquared(0.975, df)),
    high: Math.sqrt(squares / chiSquared(0.025, df)),
  };
  return { sd, degreesOfFreedom: df };
}

/** Standard error of measurement, unit of the data: root of the residual mean square (Weir 2005, J Strength Cond Res 19:231). */
export const standardErrorOfMeasurement = ({ residual }: Pick<MeanSquares, 'residual'>): number =>
  Math.sqrt(residual);

/**
 * Smallest detectable change between two single measurements, unit of the SEM: 1.96 sqrt(2) SEM = 2.77 SEM (Weir 2005).
 * Where the SEM is itself from few repeats, Student's t stands for 1.96.
 * @throws RangeError unless the degrees of freedom are above 0.
 */
export const smallestDetectableChange = (sem: number, degreesOfFreedom = Infinity): number =>
  (degreesOfFreedom === Infinity ? Z_975 : t975(degreesOfFreedom)) * Math.SQRT2 * sem;
