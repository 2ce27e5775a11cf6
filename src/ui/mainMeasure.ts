import type { LinePass, SidePass } from '../gait/types.ts';
import { SHORT_LENGTH, type Units, formatMeasured } from './format.ts';
import { shownMeasure } from './shownMeasure.ts';
import { SHORT_REASONS } from './words.ts';

interface MainMeasure {
  readonly name: string;
  /** The value with its interval, or the reason why there is none. */
  readonly words: string;
  readonly isMeasured: boolean;
}

/** What corrections of hooves make surer first. */
export const mainMeasure = (pass: SidePass | LinePass, units: Units): MainMeasure =>
  pass.kind === 'side' ? overtrack(pass, units) : baseWidth(pass, units);

function overtrack(pass: SidePass, units: Units): MainMeasure {
  const { measure, quantity } = shownMeasure('overtrackM', pass, units);
  return 'reason' in measure
    ? { name: 'Overtrack', words: SHORT_REASONS[measure.reason], isMeasured: false }
    : { name: 'Overtrack', words: formatMeasured(measure, quantity), isMeasured: true };
}

function baseWidth({ measures }: LinePass, units: Units): MainMeasure {
  const ends = [measures.baseWidthForeM, measures.baseWidthHindM];
  const [fore, hind] = ends.map((measure) =>
    'reason' in measure ? SHORT_REASONS[measure.reason] : formatMeasured(measure, SHORT_LENGTH[units]),
  );
  return {
    name: 'Base width',
    words: fore === hind ? `${fore}` : `in front ${fore}, behind ${hind}`,
    isMeasured: ends.some((measure) => 'value' in measure),
  };
}

/** " Overtrack now 12 cm (8 to 17).": said after a correction, as the table may be out of sight. Empty without a pass. */
export function mainMeasureNow(pass: SidePass | LinePass | null, units: Units): string {
  if (!pass) return '';
  const { name, words, isMeasured } = mainMeasure(pass, units);
  return isMeasured ? ` ${name} now ${words}.` : ` ${name} can\u2019t be measured now.`;
}
