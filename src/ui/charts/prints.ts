import type { SidePass, Stance } from '../../gait/types.ts';
import type { Units } from '../format.ts';
import { areLengthsRefused } from '../shownMeasure.ts';

/**
 * How far along the track a print lies: in metres, or in withers heights where there is no scale in metres. Where the
 * lengths are refused nothing of them may be read off: the prints only follow each other, one step apart.
 */
export interface PrintScale {
  readonly unit: 'm' | 'withersHeights' | 'none';
  /** Along the direction of travel; null where it can't be said. */
  readonly alongOf: (stance: Stance) => number | null;
}

export function printScale(pass: SidePass): PrintScale | null {
  const refused = areLengthsRefused(pass);
  if (!refused && pass.stances.some((stance) => stance.printM !== null))
    return { unit: 'm', alongOf: fromTheFirst(pass, (stance) => stance.printM) };
  if (!pass.stances.some((stance) => typeof stance.printH === 'number')) return null;
  const heightsAlong = (stance: Stance) => stance.printH ?? null;
  return refused
    ? { unit: 'none', alongOf: inOrder(pass, heightsAlong) }
    : { unit: 'withersHeights', alongOf: fromTheFirst(pass, heightsAlong) };
}

/** How many prints lie farther back. */
function inOrder({ stances }: SidePass, alongOf: PrintScale['alongOf']): PrintScale['alongOf'] {
  const order = stances
    .filter((stance) => alongOf(stance) !== null)
    .sort((a, b) => (alongOf(a) ?? 0) - (alongOf(b) ?? 0));
  return (stance) => {
    const place = order.indexOf(stance);
    return place < 0 ? null : place;
  };
}

/** Counted from the print that lies farthest back. */
function fromTheFirst({ stances }: SidePass, alongOf: PrintScale['alongOf']): PrintScale['alongOf'] {
  const first = Math.min(...stances.map(alongOf).filter((along) => along !== null));
  return (stance) => {
    const along = alongOf(stance);
    return along === null ? null : along - first;
  };
}

export interface AxisWords {
  readonly label: string;
  /** Null: no numbers stand on the axis. */
  readonly factor: number | null;
}

const FEET_PER_M = 1 / 0.3048;

export function alongAxis(unit: PrintScale['unit'], units: Units): AxisWords {
  if (unit === 'none') return { label: 'along the track, distances not known', factor: null };
  if (unit === 'withersHeights') return { label: 'along the track, withers heights', factor: 1 };
  return units === 'metric'
    ? { label: 'along the track, m', factor: 1 }
    : { label: 'along the track, ft', factor: FEET_PER_M };
}
