import { useSignal } from '@preact/signals';
import { useSession } from './context.ts';
import { type Units, handsOfMetres, metresOfHands } from './format.ts';
import { GroundDistanceField } from './GroundDistanceField.tsx';
import { isHeight, scaleOf, scaleWords } from './words.ts';

/** Height at the withers and the units of the whole page; both are remembered. */
export function WithersField() {
  const session = useSession();
  const { units, withersM } = session;
  const wrong = useSignal(false);
  const scale = scaleOf(withersM.value, session.groundMarks.known.value, session.pass.value);
  const set = (heightM: number | null) => {
    wrong.value = heightM !== null && !isHeight(heightM);
    if (!wrong.value) session.setWithersM(heightM);
  };
  return (
    <div class="scale">
      <fieldset class="withers">
        <legend>Height at the withers, measured with a stick</legend>
        <div class="withers-row">
          {units.value === 'metric' ? (
            <CentimetresInput withersM={withersM.value} wrong={wrong.value} onSet={set} />
          ) : (
            <HandsInput withersM={withersM.value} wrong={wrong.value} onSet={set} />
          )}
          <UnitChoice units={units.value} onChoose={(chosen) => (units.value = chosen)} />
        </div>
        <p class={wrong.value ? 'hint wrong' : 'hint'} role={wrong.value ? 'alert' : undefined}>
          {wrong.value ? 'Between 50 and 220 cm (5 and 21 hands), please.' : scaleWords(scale, units.value)}
        </p>
      </fieldset>
      <GroundDistanceField />
    </div>
  );
}

interface HeightInputProps {
  withersM: number | null;
  wrong: boolean;
  onSet: (heightM: number | null) => void;
}

function CentimetresInput({ withersM, wrong, onSet }: HeightInputProps) {
  return (
    <label class="with-unit">
      <input
        type="number"
        inputMode="decimal"
        min={50}
        max={220}
        step={0.5}
        placeholder="e.g. 162"
        aria-label="Height at the withers in centimetres"
        aria-invalid={wrong}
        value={withersM === null ? '' : String(Math.round(withersM * 1000) / 10)}
        onChange={(event) => {
          const { value, valueAsNumber } = event.currentTarget;
          onSet(value === '' ? null : valueAsNumber / 100);
        }}
      />
      cm
    </label>
  );
}

function HandsInput({ withersM, wrong, onSet }: HeightInputProps) {
  const now = withersM === null ? null : handsOfMetres(withersM);
  const change = (hands: number, inches: number) =>
    onSet(Number.isNaN(hands) ? null : metresOfHands({ hands, inches: Number.isNaN(inches) ? 0 : inches }));
  return (
    <span class="hands">
      <label class="with-unit">
        <input
          type="number"
          inputMode="numeric"
          min={5}
          max={21}
          step={1}
          aria-label="Hands"
          aria-invalid={wrong}
          value={now ? String(now.hands) : ''}
          onChange={(event) => change(event.currentTarget.valueAsNumber, now?.inches ?? 0)}
        />
        hands
      </label>
      <label class="with-unit">
        <input
          type="number"
          inputMode="decimal"
          min={0}
          max={3.75}
          step={0.25}
          aria-label="Inches"
          aria-invalid={wrong}
          value={now ? String(now.inches) : ''}
          onChange={(event) => change(now?.hands ?? NaN, event.currentTarget.valueAsNumber)}
        />
        inches
      </label>
    </span>
  );
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
