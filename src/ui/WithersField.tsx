import { useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import type { ClipInfo } from '../clip/types.ts';
import { useSession } from './context.ts';
import { type Units, formatTyped } from './format.ts';
import { GroundDistanceField } from './GroundDistanceField.tsx';
import { type HeightTexts, heightOfTexts, isEmpty, textsOfHeight } from './heightEntry.ts';
import { scaleOf, scaleWords, wrongHeightWords } from './words.ts';

/** Height at the withers and the units of the whole page; the units and the last height are remembered. */
export function WithersField() {
  const session = useSession();
  const { units, withersM } = session;
  const { texts, wrong, onTyped, onLeft } = useEntry();
  const scale = scaleOf(withersM.value, session.groundMarks.known.value, session.pass.value);
  return (
    <div class="scale">
      <fieldset class="withers">
        <legend>Height at the withers, measured with a stick</legend>
        <div class="withers-row">
          {BOXES[units.value].map((box, index) => (
            <label key={box.label} class="with-unit">
              <input
                type="text"
                inputMode="decimal"
                autoComplete="off"
                {...(box.placeholder !== undefined && { placeholder: box.placeholder })}
                aria-label={box.label}
                aria-invalid={wrong}
                value={texts[index] ?? ''}
                onInput={(event) => onTyped(index, event.currentTarget.value)}
                onChange={onLeft}
              />
              {box.unit}
            </label>
          ))}
          <UnitChoice units={units.value} onChoose={(chosen) => (units.value = chosen)} />
        </div>
        <LastHeight />
        <HeightHint alarming={wrong}>
          {wrong ? wrongHeightWords(units.value, withersM.value) : scaleWords(scale, units.value)}
        </HeightHint>
      </fieldset>
      <GroundDistanceField />
    </div>
  );
}

function HeightHint({ alarming, children }: { alarming: boolean; children: string }) {
  return (
    <p class={alarming ? 'hint wrong' : 'hint'} role={alarming ? 'alert' : undefined}>
      {children}
    </p>
  );
}

/** The height of the last clip is offered, never taken by itself: the next horse is often another one. */
function LastHeight() {
  const session = useSession();
  const offeredM = session.height.offeredM.value;
  if (offeredM === null) return null;
  return (
    <p class="last-height">
      <button type="button" onClick={() => session.setWithersM(offeredM)}>
        {formatTyped(offeredM, session.units.value)}, as in the last clip
      </button>
    </p>
  );
}

interface Box {
  readonly label: string;
  readonly unit: string;
  readonly placeholder?: string;
}

const BOXES: Readonly<Record<Units, readonly Box[]>> = {
  metric: [{ label: 'Height at the withers in centimetres', unit: 'cm', placeholder: 'e.g. 162' }],
  imperial: [
    { label: 'Hands', unit: 'hands' },
    { label: 'Inches', unit: 'inches' },
  ],
};

/** What is being typed; it stands as typed until the height in force or the units change by other means. */
interface Draft {
  readonly texts: HeightTexts;
  readonly units: Units;
  readonly heightM: number | null;
  readonly wrong: boolean;
  /** What is typed is meant for this clip; a browser tells of it late, when the next one takes the field away. */
  readonly clip: ClipInfo | null;
}

const TYPING_MS = 300;
/** An unfinished number looks wrong: it is told of only when no more comes. */
const UNFINISHED_MS = 1200;

function useEntry() {
  const session = useSession();
  const { units, withersM } = session;
  const draft = useSignal<Draft | null>(null);
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined);
  useEffect(() => () => clearTimeout(timer.current), []);
  const now = draft.value;
  const shown = now?.units === units.value && now.heightM === withersM.value ? now : null;
  const texts = shown?.texts ?? textsOfHeight(withersM.value, units.value);
  const take = () => {
    clearTimeout(timer.current);
    const typed = draft.peek();
    if (typed?.clip !== session.clip.peek()) return;
    const heightM = isEmpty(typed.texts) ? null : heightOfTexts(typed.texts, typed.units);
    const wrong = Number.isNaN(heightM);
    if (!wrong && heightM !== withersM.peek()) session.setWithersM(heightM);
    draft.value = { ...typed, heightM: withersM.peek(), wrong };
  };
  const onTyped = (index: number, text: string) => {
    session.notice.value = '';
    const typed = texts.map((before, i) => (i === index ? text : before));
    const clip = session.clip.peek();
    draft.value = { texts: typed, units: units.peek(), heightM: withersM.peek(), wrong: false, clip };
    const finished = isEmpty(typed) || !Number.isNaN(heightOfTexts(typed, units.peek()));
    clearTimeout(timer.current);
    timer.current = setTimeout(take, finished ? TYPING_MS : UNFINISHED_MS);
  };
  return { texts, wrong: shown?.wrong ?? false, onTyped, onLeft: take };
}

const CHOICES: readonly (readonly [Units, string])[] = [
  ['metric', 'cm and m'],
  ['imperial', 'hands and inches'],
];

function UnitChoice({ units, onChoose }: { units: Units; onChoose: (units: Units) => void }) {
  return (
    <label>
      <span class="unseen">Units</span>
      <select
        value={units}
        onChange={(event) => onChoose(event.currentTarget.value === 'imperial' ? 'imperial' : 'metric')}
      >
        {CHOICES.map(([value, words]) => (
          <option key={value} value={value}>
            {words}
          </option>
        ))}
      </select>
    </label>
  );
}
