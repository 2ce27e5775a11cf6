import type { LinePass, Measure, MeasureName, Measured, SidePass } from '../gait/types.ts';
import { useSession } from './context.ts';
import { type Shown, type Units, showMeasured } from './format.ts';
import { lineGroups, showRow } from './lineWords.ts';
import { shownMeasure } from './shownMeasure.ts';
import { MEASURE_WORDS, SHORT_REASONS } from './words.ts';

const MAIN: readonly MeasureName[] = ['overtrackM', 'strideLengthM', 'strideDurationS'];
const MAIN_LINE = ['pathDriftDeg', 'baseWidth fore', 'baseWidth hind'] as const;
export const MEASURES_ID = 'measures';

interface MainNumber {
  readonly title: string;
  /** Null where there is none: `instead` says why. */
  readonly shown: Shown | null;
  readonly instead: string;
}

const number = (title: string, measure: Measure, show: (measured: Measured) => Shown): MainNumber =>
  'reason' in measure
    ? { title, shown: null, instead: SHORT_REASONS[measure.reason] }
    : { title, shown: show(measure), instead: '' };

function mainNumbers(pass: SidePass | LinePass, units: Units): MainNumber[] {
  if (pass.kind === 'side')
    return MAIN.map((name) => {
      const { measure, quantity } = shownMeasure(name, pass, units);
      return number(MEASURE_WORDS[name].title, measure, (measured) => showMeasured(measured, quantity));
    });
  const rows = lineGroups(pass, units).flatMap((group) => group.rows);
  return MAIN_LINE.flatMap((name) => rows.filter((row) => row.name === name)).map((row) =>
    number(row.words.title, row.measure, (measured) => showRow(measured, row)),
  );
}

/** The numbers asked for first, right beneath the picture where the table is far below it. */
export function MainNumbers({ pass }: { pass: SidePass | LinePass }) {
  return (
    <section class="main-numbers" aria-label="Main numbers">
      <dl>
        {mainNumbers(pass, useSession().units.value).map(({ title, shown, instead }) => (
          <div key={title}>
            <dt>{title}</dt>
            <dd {...(shown ? {} : { class: 'reason' })}>
              {shown ? <b>{shown.value}</b> : instead}{' '}
              {shown?.interval != null && <span class="interval">({shown.interval})</span>}
            </dd>
          </div>
        ))}
      </dl>
      <a href={`#${MEASURES_ID}`}>To the measures</a>
    </section>
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
