import type { MeasureName, Measured, SidePass } from '../gait/types.ts';
import { LIMBS } from '../points.ts';
import { adviceOf } from './advice/advice.ts';
import { MEASURES_ID } from './MainNumbers.tsx';
import { GroupRow, MeasureRow, TableHead, countWords } from './MeasureRow.tsx';
import { useSession } from './context.ts';
import { SHARE, type Units, showMeasured } from './format.ts';
import { reachesBeyond } from './shownPass.ts';
import { type ShownMeasure, shownMeasure } from './shownMeasure.ts';
import {
  FAR_NOTE,
  MEASURE_WORDS,
  type MeasureWords,
  RANGE_WORDS,
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
  const { units, chosen } = useSession();
  const ranges = anyRange(pass, units.value);
  return (
    <section class="measures" id={MEASURES_ID} tabIndex={-1} aria-labelledby="measures-title">
      <h2 id="measures-title">Measures</h2>
      <p class="note">
        Walking to the {pass.direction}, its {pass.nearSide} side near; {pass.startS.toFixed(1)} to{' '}
        {pass.endS.toFixed(1)} s of the clip
        {chosen.value && reachesBeyond(chosen.value, pass) && ', some of it in the turns beside'}.
      </p>
      <HandlerLine />
      <table aria-labelledby="measures-title">
        <TableHead>{ranges ? 'value (likely range), strides, side' : 'value, strides, side'}</TableHead>
        {GROUPS.map(({ title, names }) => (
          <tbody key={title}>
            <GroupRow title={title} />
            {names.map((name) => (
              <SideRow
                key={name}
                name={name}
                words={MEASURE_WORDS[name]}
                {...shownMeasure(name, pass, units.value)}
              />
            ))}
            {title === 'Rhythm' &&
              LIMBS.map((limb) => (
                <SideRow
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
function HandlerLine() {
  const session = useSession();
  const usual = adviceOf(session).given.value?.handlers[session.passIndex.value];
  return usual ? <p class="note handler">{handlerWords(usual.place, usual.share)}</p> : null;
}

/** Whether any row shows a range: then it is said what the two numbers mean. */
function anyRange(pass: SidePass, units: Units): boolean {
  const measures = [
    ...GROUPS.flatMap(({ names }) => names.map((name) => shownMeasure(name, pass, units).measure)),
    ...LIMBS.map((limb) => pass.measures.limbPhaseFraction[limb]),
  ];
  return measures.some((measure) => !('reason' in measure) && measure.high > measure.low);
}

interface SideRowProps extends ShownMeasure {
  name: string;
  words: MeasureWords;
}

function SideRow({ name, words, measure, quantity, far }: SideRowProps) {
  const of = ({ n, side }: Measured): string =>
    `${countWords(n, 'stride')}${side === 'both' ? '' : `, ${side}`}${far ? `; ${FAR_NOTE}` : ''}`;
  const shown = (measured: Measured) => ({ ...showMeasured(measured, quantity), of: of(measured) });
  return <MeasureRow name={name} words={words} measure={measure} shown={shown} far={far} />;
}
