import { useSignal } from '@preact/signals';
import { REASONS, type ReasonCode } from '../gait/reasons.ts';
import type { Measure, MeasureName, SidePass } from '../gait/types.ts';
import { LIMBS } from '../points.ts';
import { usualHandlerPlace } from '../pose/handler.ts';
import { useSession } from './context.ts';
import {
  IN_WITHERS_HEIGHTS,
  type Quantity,
  SHARE,
  type Units,
  formatNumber,
  quantityOf,
  showMeasured,
  withUnit,
} from './format.ts';
import {
  FAR_NOTE,
  MEASURE_WORDS,
  type MeasureWords,
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
  return (
    <section class="measures" aria-label="Measures">
      <h2>Measures</h2>
      <p class="note">
        Walking to the {pass.direction}, its {pass.nearSide} side near; {pass.startS.toFixed(1)} to{' '}
        {pass.endS.toFixed(1)} s of the clip.
      </p>
      <HandlerLine pass={pass} />
      <Reasons pass={pass} units={units.value} />
      <table>
        <thead>
          <tr>
            <th scope="col">
              <span class="unseen">Measure</span>
            </th>
            <th scope="col">value (95 % interval), strides, side</th>
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
      <p class="note">
        The interval holds the true value 95 times in 100, strides, timing, points and scale taken together.
        Tap a measure for what it means.
      </p>
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

/** Each reason once, in full. What the missing height means stands beside the field for it. */
function Reasons({ pass, units }: { pass: SidePass; units: Units }) {
  const shown = GROUPS.flatMap(({ names }) =>
    names.map((name) => ({
      title: MEASURE_WORDS[name].title,
      measure: shownMeasure(name, pass, units).measure,
    })),
  );
  const phases = LIMBS.map((limb) => ({
    title: phaseWords(limb).title,
    measure: pass.measures.limbPhaseFraction[limb],
  }));
  const titles = new Map<ReasonCode, string[]>();
  for (const { title, measure } of [...shown, ...phases])
    if ('reason' in measure && measure.reason !== 'withersHeightMissing')
      titles.set(measure.reason, [...(titles.get(measure.reason) ?? []), title]);
  if (titles.size === 0) return null;
  return (
    <ul class="reasons" aria-label="Why some measures are missing">
      {[...titles].map(([code, rows]) => (
        <li key={code}>
          <b>{rows.join(', ')}:</b> {REASONS[code]}
        </li>
      ))}
    </ul>
  );
}

/** Lengths that need no scale in metres are shown in withers heights until the height is typed in. */
function shownMeasure(name: MeasureName, pass: SidePass, units: Units) {
  const measure = pass.measures[name];
  const instead =
    name === 'strideLengthM'
      ? pass.inWithersHeights.strideLengthH
      : name === 'overtrackM'
        ? pass.inWithersHeights.overtrackH
        : null;
  const missing = 'reason' in measure && measure.reason === 'withersHeightMissing';
  if (instead && missing)
    return { measure: instead, quantity: IN_WITHERS_HEIGHTS, far: isOfFarSide(instead, pass) };
  const aboutH = missing ? aboutInWithersHeights(name, pass) : null;
  return { measure, quantity: quantityOf(name, units), far: isOfFarSide(measure, pass), aboutH };
}

/** Mean over the pass of a height above the withers, in withers heights; without an interval, so only about. */
function aboutInWithersHeights(name: MeasureName, { head }: SidePass): number | null {
  const heights = head.flatMap(({ poll, croup, withers }) => {
    const of = name === 'headAboveWithersM' ? poll : name === 'croupAboveWithersM' ? croup : null;
    return of === null ? [] : [of - withers];
  });
  return heights.length === 0 ? null : heights.reduce((sum, height) => sum + height, 0) / heights.length;
}

const isOfFarSide = (measure: Measure, { nearSide }: SidePass): boolean =>
  'side' in measure && measure.side !== 'both' && measure.side !== nearSide;

interface MeasureRowProps {
  name: string;
  words: MeasureWords;
  measure: Measure;
  quantity: Quantity;
  far: boolean;
  /** Where only the height is missing: the value in withers heights, without an interval. */
  aboutH?: number | null;
}

function MeasureRow({ name, words, measure, quantity, far, aboutH = null }: MeasureRowProps) {
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
        {aboutH !== null ? (
          <td class="value">
            <span class="figure">
              about{' '}
              <b>
                {withUnit(
                  formatNumber(aboutH * IN_WITHERS_HEIGHTS.factor, IN_WITHERS_HEIGHTS.decimals),
                  IN_WITHERS_HEIGHTS.unit,
                )}
              </b>
            </span>
            <span class="of">no interval without the height</span>
          </td>
        ) : 'reason' in measure ? (
          <td class="reason">{SHORT_REASONS[measure.reason]}</td>
        ) : (
          <MeasuredCells measure={measure} quantity={quantity} far={far} />
        )}
      </tr>
      <tr id={id} class="meaning" hidden={!open.value}>
        <td colSpan={2}>{words.meaning}</td>
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
        <b>{value}</b> {interval !== null && <span class="interval">({interval})</span>}
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
