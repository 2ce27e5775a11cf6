import { useSignal } from '@preact/signals';
import { REASONS } from '../gait/reasons.ts';
import type { Measure, MeasureName, SidePass } from '../gait/types.ts';
import { LIMBS } from '../points.ts';
import { usualHandlerPlace } from '../gait/handlerPlace.ts';
import { MEASURES_ID } from './MainNumbers.tsx';
import { useSession } from './context.ts';
import { type Quantity, SHARE, type Units, showMeasured } from './format.ts';
import { shownMeasure } from './shownMeasure.ts';
import {
  FAR_NOTE,
  MEASURE_WORDS,
  type MeasureWords,
  RANGE_WORDS,
  SHORT_REASONS,
  handlerWords,
  isFar,
  phaseWords,
} from './words.ts';

/** In the order in which they are looked for at the walk. */
const GROUPS: readonly { readonly title: string; readonly names: readonly MeasureName[] }[] = [
  {
    title: 'Stride',
    names: ['overtrackM', 'strideLengthM', 'strideDurationS', 'cadencePerMin', 'speedMps', 'froude'],
  },
  { title: 'Head and topline', names: ['headAboveWithersM', 'headNodM', 'croupAboveWithersM'] },
  { title: 'Rhythm', names: ['lateralLagFraction', 'dutyFactorFore', 'dutyFactorHind'] },
];

export function MeasureTable({ pass }: { pass: SidePass }) {
  const { units } = useSession();
  const ranges = anyRange(pass, units.value);
  return (
    <section class="measures" id={MEASURES_ID} tabIndex={-1} aria-labelledby="measures-title">
      <h2 id="measures-title">Measures</h2>
      <p class="note">
        Walking to the {pass.direction}, its {pass.nearSide} side near; {pass.startS.toFixed(1)} to{' '}
        {pass.endS.toFixed(1)} s of the clip.
      </p>
      <HandlerLine pass={pass} />
      <table aria-labelledby="measures-title">
        <thead>
          <tr>
            <th scope="col">
              <span class="unseen">Measure</span>
            </th>
            <th scope="col">{ranges ? 'value (likely range), strides, side' : 'value, strides, side'}</th>
          </tr>
        </thead>
        {GROUPS.map(({ title, names }) => (
          <tbody key={title}>
            <tr class="group">
              <th colSpan={2} scope="rowgroup">
                {title}
              </th>
            </tr>
            {names.map((name) => (
              <MeasureRow
                key={name}
                name={name}
                words={MEASURE_WORDS[name]}
                {...shownMeasure(name, pass, units.value)}
              />
            ))}
            {title === 'Rhythm' &&
              LIMBS.map((limb) => (
                <MeasureRow
                  key={limb}
                  name={`limbPhaseFraction ${limb}`}
                  words={phaseWords(limb)}
                  measure={pass.measures.limbPhaseFraction[limb]}
                  quantity={SHARE}
                  far={isFar(limb, pass)}
                />
              ))}
          </tbody>
        ))}
      </table>
      <p class="note">{ranges && `${RANGE_WORDS} `}Tap a measure for what it means.</p>
    </section>
  );
}

/** Where the handler walks, if enough pictures of the pass tell it. */
function HandlerLine({ pass }: { pass: SidePass }) {
  const { poses } = useSession();
  const frames = poses.value.filter(({ timeS }) => timeS >= pass.startS && timeS <= pass.endS);
  const usual = usualHandlerPlace(frames);
  if (!usual || usual.frames < LEAST_SHARE_TOLD * frames.length) return null;
  return <p class="note handler">{handlerWords(usual.place, usual.share)}</p>;
}

const LEAST_SHARE_TOLD = 0.25;

/** Whether any row shows a range: then it is said what the two numbers mean. */
function anyRange(pass: SidePass, units: Units): boolean {
  const measures = [
    ...GROUPS.flatMap(({ names }) => names.map((name) => shownMeasure(name, pass, units).measure)),
    ...LIMBS.map((limb) => pass.measures.limbPhaseFraction[limb]),
  ];
  return measures.some((measure) => !('reason' in measure) && measure.high > measure.low);
}

interface MeasureRowProps {
  name: string;
  words: MeasureWords;
  measure: Measure;
  quantity: Quantity;
  far: boolean;
}

function MeasureRow({ name, words, measure, quantity, far }: MeasureRowProps) {
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
          <MeasuredCells measure={measure} quantity={quantity} far={far} />
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

interface MeasuredCellsProps {
  measure: Exclude<Measure, { readonly reason: unknown }>;
  quantity: Quantity;
  far: boolean;
}

function MeasuredCells({ measure, quantity, far }: MeasuredCellsProps) {
  const { value, interval } = showMeasured(measure, quantity);
  return (
    <td class="value">
      <span class="figure">
        <b>{value}</b> <span class="interval">({interval ?? 'by definition'})</span>
      </span>
      <span class="of">
        {strideWords(measure.n)}
        {measure.side !== 'both' && `, ${measure.side}`}
        {far && `; ${FAR_NOTE}`}
      </span>
    </td>
  );
}

const strideWords = (n: number): string => (n === 1 ? '1 stride' : `${n} strides`);
