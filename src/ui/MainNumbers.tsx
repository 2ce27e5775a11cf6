import type { MeasureName, SidePass } from '../gait/types.ts';
import { useSession } from './context.ts';
import { showMeasured } from './format.ts';
import { shownMeasure } from './shownMeasure.ts';
import { MEASURE_WORDS, SHORT_REASONS } from './words.ts';

const MAIN: readonly MeasureName[] = ['overtrackM', 'strideLengthM', 'strideDurationS'];
export const MEASURES_ID = 'measures';

/** The numbers asked for first, right beneath the picture where the table is far below it. */
export function MainNumbers({ pass }: { pass: SidePass }) {
  return (
    <section class="main-numbers" aria-label="Main numbers">
      <dl>
        {MAIN.map((name) => (
          <MainNumber key={name} name={name} pass={pass} />
        ))}
      </dl>
      <a href={`#${MEASURES_ID}`}>To the measures</a>
    </section>
  );
}

function MainNumber({ name, pass }: { name: MeasureName; pass: SidePass }) {
  const { measure, quantity } = shownMeasure(name, pass, useSession().units.value);
  const shown = 'reason' in measure ? null : showMeasured(measure, quantity);
  return (
    <div>
      <dt>{MEASURE_WORDS[name].title}</dt>
      {'reason' in measure ? (
        <dd class="reason">{SHORT_REASONS[measure.reason]}</dd>
      ) : (
        <dd>
          <b>{shown?.value}</b> {shown?.interval != null && <span class="interval">({shown.interval})</span>}
        </dd>
      )}
    </div>
  );
}

/** For the keyboard: from the top of the page to the table. */
export function SkipToMeasures() {
  return (
    <a class="skip" href={`#${MEASURES_ID}`}>
      To the measures
    </a>
  );
}
