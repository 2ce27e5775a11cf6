import type { SidePass } from '../gait/types.ts';
import { type Units, formatMeasured } from './format.ts';
import { shownMeasure } from './shownMeasure.ts';

/** " Overtrack now 12 cm (8 to 17).": said after a correction, as the table may be out of sight. Empty without a pass. */
export function overtrackNow(pass: SidePass | null, units: Units): string {
  if (!pass) return '';
  const { measure, quantity } = shownMeasure('overtrackM', pass, units);
  return 'reason' in measure
    ? ' Overtrack can\u2019t be measured now.'
    : ` Overtrack now ${formatMeasured(measure, quantity)}.`;
}
