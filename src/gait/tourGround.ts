import type { Limb } from '../points.ts';

/** A print that may be put right. */
export interface TourPrint {
  readonly limb: Limb;
  readonly fromS: number;
  readonly toS: number;
  /** How far it lies from where the rest of the pass says that it should, withers heights. */
  readonly strayH: number;
}
export interface ValueH {
  readonly value: number;
  /** Half the 95 % interval. */
  readonly half: number;
}
/** What a tour knows of a pass. */
export interface TourGround {
  readonly prints: readonly TourPrint[];
  /** Measures that rest on the prints, withers heights, with each print moved back by so much; null where not given. */
  readonly measured: (backH: readonly number[]) => readonly (ValueH | null)[];
}

/** Part of a stance in which the toe surely stands: as for the print itself (midStancePrint). */
const STANDS = [0.2, 0.7] as const;
type Stood = Pick<TourPrint, 'fromS' | 'toS'>;
export const standsS = ({ fromS, toS }: Stood): readonly [number, number] => [
  fromS + STANDS[0] * (toS - fromS),
  fromS + STANDS[1] * (toS - fromS),
];
/** The middle of that part. */
export const middleS = (print: Stood): number => (standsS(print)[0] + standsS(print)[1]) / 2;
