import { useSignal } from '@preact/signals';
import type { ComponentChildren } from 'preact';
import { REASONS } from '../gait/reasons.ts';
import type { Measure, Measured } from '../gait/types.ts';
import type { Shown } from './format.ts';
import { type MeasureWords, SHORT_REASONS } from './words.ts';

export function TableHead({ children }: { children: ComponentChildren }) {
  return (
    <thead>
      <tr>
        <th scope="col">
          <span class="unseen">Measure</span>
        </th>
        <th scope="col">{children}</th>
      </tr>
    </thead>
  );
}

export function GroupRow({ title }: { title: string }) {
  return (
    <tr class="group">
      <th colSpan={2} scope="rowgroup">
        {title}
      </th>
    </tr>
  );
}

/** A measure as it stands in a row; `of`: what it is the mean of, and the like. */
export interface ShownRow extends Shown {
  readonly of: string;
}

interface MeasureRowProps {
  name: string;
  words: MeasureWords;
  measure: Measure;
  shown: (measured: Measured) => ShownRow;
  far?: boolean;
}

export function MeasureRow({ name, words, measure, shown, far = false }: MeasureRowProps) {
  const open = useSignal(false);
  const id = `meaning-${name.replace(' ', '-')}`;
  return (
    <>
      <tr class={far ? 'far' : ''} data-measure={name}>
        <th scope="row">
          <button
            type="button"
            class="meaning-button"
            aria-expanded={open.value}
            aria-controls={id}
            onClick={() => (open.value = !open.value)}
          >
            {words.title}
          </button>
        </th>
        {'reason' in measure ? (
          <td class="reason">{SHORT_REASONS[measure.reason]}</td>
        ) : (
          <MeasuredCells {...shown(measure)} />
        )}
      </tr>
      <tr id={id} class="meaning" hidden={!open.value}>
        <td colSpan={2}>
          {words.meaning}
          {'reason' in measure && ` ${REASONS[measure.reason]}`}
        </td>
      </tr>
    </>
  );
}

function MeasuredCells({ value, interval, of }: ShownRow) {
  return (
    <td class="value">
      <span class="figure">
        <b>{value}</b> <span class="interval">({interval ?? 'by definition'})</span>
      </span>
      <span class="of">{of}</span>
    </td>
  );
}

/** "1 stride", "3 strides" */
export const countWords = (n: number, one: string, many = `${one}s`): string =>
  n === 1 ? `1 ${one}` : `${n} ${many}`;
