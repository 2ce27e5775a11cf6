import type { SidePass } from '../gait/types.ts';
import { IN_WITHERS_HEIGHTS, type Units, formatMeasured, quantityOf } from './format.ts';

/** " Overtrack now 12 cm (8 to 17).": said after a correction, as the table may be out of sight. Empty without a pass. */
export function overtrackNow(pass: SidePass | null, units: Units): string {
  if (!pass) return '';
  const { overtrackM } = pass.measures;
  if (!('reason' in overtrackM)) return words(formatMeasured(overtrackM, quantityOf('overtrackM', units)));
  const { overtrackH } = pass.inWithersHeights;
  if (overtrackM.reason === 'withersHeightMissing' && !('reason' in overtrackH))
    return words(formatMeasured(overtrackH, IN_WITHERS_HEIGHTS));
  return ' Overtrack can\u2019t be measured now.';
}

const words = (overtrack: string): string => ` Overtrack now ${overtrack}.`;
