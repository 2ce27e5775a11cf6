import type { Measure, MeasureName, SidePass } from '../gait/types.ts';
import { IN_WITHERS_HEIGHTS, type Quantity, type Units, quantityOf } from './format.ts';

/** A measure as the page shows it. */
export interface ShownMeasure {
  readonly measure: Measure;
  readonly quantity: Quantity;
  /** It rests on the far side, which is less certain. */
  readonly far: boolean;
  /** Where only the height is missing: the value in withers heights, without an interval. */
  readonly aboutH: number | null;
}

/** Lengths that need no scale in metres are shown in withers heights until the height is typed in. */
export function shownMeasure(name: MeasureName, pass: SidePass, units: Units): ShownMeasure {
  const measure = pass.measures[name];
  const instead =
    name === 'strideLengthM'
      ? pass.inWithersHeights.strideLengthH
      : name === 'overtrackM'
        ? pass.inWithersHeights.overtrackH
        : null;
  const missing = 'reason' in measure && measure.reason === 'withersHeightMissing';
  if (instead && missing)
    return { measure: instead, quantity: IN_WITHERS_HEIGHTS, far: isOfFarSide(instead, pass), aboutH: null };
  const aboutH = missing ? aboutInWithersHeights(name, pass) : null;
  return { measure, quantity: quantityOf(name, units), far: isOfFarSide(measure, pass), aboutH };
}

/** Mean over the pass of a height above the withers, in withers heights; without an interval, so only about. */
function aboutInWithersHeights(name: MeasureName, { head }: SidePass): number | null {
  const heights = head.flatMap(({ poll, croup, withers }) => {
    const of = name === 'headAboveWithersM' ? poll : name === 'croupAboveWithersM' ? croup : null;
    return of === null ? [] : [of - withers];
  });
  return heights.length === 0 ? null : heights.reduce((sum, height) => sum + height, 0) / heights.length;
}

const isOfFarSide = (measure: Measure, { nearSide }: SidePass): boolean =>
  'side' in measure && measure.side !== 'both' && measure.side !== nearSide;
