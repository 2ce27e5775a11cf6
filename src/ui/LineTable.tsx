import type { LinePass, Measured } from '../gait/types.ts';
import { MEASURES_ID } from './MainNumbers.tsx';
import { GroupRow, MeasureRow, TableHead, countWords } from './MeasureRow.tsx';
import { useSession } from './context.ts';
import {
  LINE_RANGE_WORDS,
  LINE_TRUST,
  type LineRow,
  lineGroups,
  lineKindWords,
  showRow,
} from './lineWords.ts';
import { spanWords } from './strip/kinds.ts';

/** The measures of a pass away from the camera or back to it. */
export function LineTable({ pass }: { pass: LinePass }) {
  const { units } = useSession();
  const groups = lineGroups(pass, units.value);
  const any = groups.some(({ rows }) => rows.some(({ measure }) => 'value' in measure));
  return (
    <section class="measures" id={MEASURES_ID} tabIndex={-1} aria-labelledby="measures-title">
      <h2 id="measures-title">Measures</h2>
      <p class="note">
        {lineKindWords(pass)}, {spanWords(pass.startS, pass.endS)} of the clip. Left and right are the horse’s
        own.
      </p>
      <p class="caution trust">{LINE_TRUST}</p>
      <table aria-labelledby="measures-title">
        <TableHead>{any ? 'value (likely range), of how many' : 'value'}</TableHead>
        {groups.map(({ title, rows }) => (
          <tbody key={title}>
            <GroupRow title={title} />
            {rows.map((row) => (
              <MeasureRow
                key={row.name}
                name={row.name}
                words={row.words}
                measure={row.measure}
                shown={(measured) => ({ ...showRow(measured, row), of: ofWords(measured, row) })}
              />
            ))}
          </tbody>
        ))}
      </table>
      <p class="note">{any && `${LINE_RANGE_WORDS} `}Tap a measure for what it means.</p>
    </section>
  );
}

const ofWords = ({ n }: Measured, { each, note }: LineRow): string =>
  `${countWords(n, each)}${note === undefined ? '' : `; ${note}`}`;
