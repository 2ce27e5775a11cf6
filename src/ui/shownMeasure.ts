import type { Measure, MeasureName, SidePass } from '../gait/types.ts';
import { IN_WITHERS_HEIGHTS, type Quantity, type Units, quantityOf } from './format.ts';

/** A measure as the page shows it. */
export interface ShownMeasure {
  readonly measure: Measure;
  readonly quantity: Quantity;
  /** It rests on the far side, which is less certain. */
  readonly far: boolean;
}

/** Lengths are shown in withers heights where only the metres are missing. */
export function shownMeasure(name: MeasureName, pass: SidePass, units: Units): ShownMeasure {
  const measure = pass.measures[name];
  const instead = noMetres(measure) ? inWithersHeights(name, pass) : undefined;
  if (instead) return { measure: instead, quantity: IN_WITHERS_HEIGHTS, far: isOfFarSide(instead, pass) };
  return { measure, quantity: quantityOf(name, units), far: isOfFarSide(measure, pass) };
}

/** No length of this pass is given, not even in withers heights. */
export const areLengthsRefused = ({ inWithersHeights: { strideLengthH } }: SidePass): boolean =>
  'reason' in strideLengthH &&
  (strideLengthH.reason === 'groundUnsure' || strideLengthH.reason === 'tooOblique');

const noMetres = (measure: Measure): boolean =>
  'reason' in measure && (measure.reason === 'withersHeightMissing' || measure.reason === 'distanceUnread');

function inWithersHeights(name: MeasureName, { inWithersHeights: inH }: SidePass): Measure | undefined {
  switch (name) {
    case 'strideLengthM':
      return inH.strideLengthH;
    case 'overtrackM':
      return inH.overtrackH;
    case 'headAboveWithersM':
      return inH.headAboveWithersH;
    case 'headNodM':
      return inH.headNodH;
    case 'croupAboveWithersM':
      return inH.croupAboveWithersH;
    default:
      return undefined;
  }
}

const isOfFarSide = (measure: Measure, { nearSide }: SidePass): boolean =>
  'side' in measure && measure.side !== 'both' && measure.side !== nearSide;
