import type { StatsReason } from './words.ts';

/** A value with its 95 % interval, in the unit of the data. */
export interface Interval {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** What can't be told, and why. */
export interface Untold<R extends StatsReason> {
  readonly reason: R;
}

export const isUntold = <T extends object, R extends StatsReason>(x: T | Untold<R>): x is Untold<R> =>
  'reason' in x;
