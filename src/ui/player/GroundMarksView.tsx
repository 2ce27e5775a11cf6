import { type Signal, useSignal } from '@preact/signals';
import { useEffect, useRef } from 'preact/hooks';
import { useSession } from '../context.ts';
import { DISTANCE } from '../format.ts';
import {
  type Draft,
  LONGEST_M,
  MARK_NAMES,
  type MarkName,
  type MarkPlaces,
  SHORTEST_M,
  bothStand,
  isDistance,
  marksShown,
  moveMark,
} from '../groundMarks.ts';
import type { Session } from '../session.ts';
import {
  distanceLimitWords,
  MARK_ADVICE,
  MARK_WORDS,
  SET_BOTH_FLAGS,
  scaleOf,
  scaleWords,
} from '../words.ts';
import { type XY, toView } from './geometry.ts';
import type { Picture } from './Player.tsx';
import { Nudges, arrowStep } from './nudging.tsx';

/** The two flags and the line between them: open to being moved while they are placed, quiet once in force. */
export function GroundMarksView({ picture }: { picture: Signal<Picture | null> }) {
  const session = useSession();
  const { open, held } = session.groundMarks;
  const now = picture.value;
  const places = marksShown(session);
  if (!now || !places || session.horseChoice.state.value !== 'closed') return null;
  const [from, to] = [toView(now.mapping, places.from), toView(now.mapping, places.to)];
  const line = `M${from.x} ${from.y}L${to.x} ${to.y}`;
  const outward = from.x <= to.x ? 1 : -1;
  return (
    <>
      <svg class="ground-marks" data-open={open.value} aria-hidden="true">
        <path class="casing" d={line} />
        <path class="tape" d={line} />
        <Flag at={from} outward={-outward} held={held.value === 'from'} />
        <Flag at={to} outward={outward} held={held.value === 'to'} />
      </svg>
      {open.value && !session.playing.value && <MarkHandles picture={now} places={places} />}
    </>
  );
}

/** Stands beside its place, so that the ground there can be seen. */
function Flag({ at, outward, held }: { at: XY; outward: number; held: boolean }) {
  return (
    <g class={held ? 'flag held' : 'flag'} transform={`translate(${at.x} ${at.y}) scale(${outward} 1)`}>
      <path class="casing" d="M0 0V-34" />
      <path class="pole" d="M0 0V-34" />
      <path class="cloth" d="M0 -34L20 -34L14 -27L20 -20L0 -20Z" />
      <path class="foot" d="M0 -5L5 0L0 5L-5 0Z" />
    </g>
  );
}

function MarkHandles({ picture, places }: { picture: Picture; places: MarkPlaces }) {
  const session = useSession();
  const first = useRef<HTMLButtonElement>(null);
  useEffect(() => first.current?.focus({ preventScroll: true }), []);
  const onKey = (name: MarkName) => (event: KeyboardEvent) => {
    const step = arrowStep(event);
    if (step) nudgeMark(session, name, step.dx, step.dy);
  };
  return (
    <div class="handles" role="group" aria-label="Marks on the ground; arrow keys move the one in focus">
      {MARK_NAMES.map((name) => {
        const view = toView(picture.mapping, places[name]);
        return (
          <button
            key={name}
            ref={name === 'from' ? first : null}
            type="button"
            data-mark={name}
            aria-label={`${MARK_WORDS[name]}, ${Math.round(places[name].x)} across, ${Math.round(places[name].y)} down`}
            style={`transform: translate(${view.x}px, ${view.y}px)`}
            onFocus={() => (session.groundMarks.held.value = name)}
            onKeyDown={onKey(name)}
          />
        );
      })}
    </div>
  );
}

function nudgeMark(session: Session, name: MarkName, dx: number, dy: number): void {
  const at = marksShown(session)?.[name];
  if (at) moveMark(session, name, { x: at.x + dx, y: at.y + dy });
}

/** What to do with the marks and how far apart they are, beneath the picture. */
export function GroundMarksBar() {
  const draft = useSession().groundMarks.draft.value;
  return draft && <MarksForm now={draft} />;
}

function MarksForm({ now }: { now: Draft }) {
  const session = useSession();
  const { held } = session.groundMarks;
  const tried = useSignal(false);
  const use = (event: Event) => {
    event.preventDefault();
    tried.value = true;
    if (!session.groundMarks.use()) return;
    const scale = scaleOf(session.withersM.peek(), session.groundMarks.known.peek(), session.pass.peek());
    session.notice.value = scaleWords(scale, session.units.peek());
    focusField();
  };
  const leave = () => {
    session.groundMarks.close();
    focusField();
  };
  const name = held.value;
  const wrong = tried.value && !isDistance(now.distanceM);
  return (
    <form class="ground-bar" aria-label="Known distance on the ground" noValidate onSubmit={use}>
      <p>{MARK_ADVICE}</p>
      <DistanceInput wrong={wrong} />
      <label class="tick">
        <input
          type="checkbox"
          checked={bothStand(now)}
          onChange={(event) => session.groundMarks.setStanding(event.currentTarget.checked)}
        />
        Both flags stand on the marks
      </label>
      <button type="submit" class="main-button">
        Use it
      </button>
      <button type="button" onClick={leave}>
        Cancel
      </button>
      {name && <Nudges name={MARK_WORDS[name]} onNudge={(dx, dy) => nudgeMark(session, name, dx, dy)} />}
      {wrong && (
        <p class="hint wrong" role="alert">
          {distanceLimitWords(session.units.value)}
        </p>
      )}
      {tried.value && !bothStand(now) && (
        <p class="hint wrong" role="alert">
          {SET_BOTH_FLAGS}
        </p>
      )}
    </form>
  );
}

/** The keyboard goes on where the marks were begun, once what is there has changed. */
const focusField = () =>
  setTimeout(() =>
    document.querySelector<HTMLElement>('.ground-distance button')?.focus({ preventScroll: true }),
  );

function DistanceInput({ wrong }: { wrong: boolean }) {
  const { groundMarks, units } = useSession();
  const { unit, factor } = DISTANCE[units.value];
  const distanceM = groundMarks.draft.value?.distanceM ?? null;
  // Shown as it was typed: written anew from the number, "3.0" would become "3" on the way to "3.05".
  const typed = useSignal('');
  const isTyped = distanceM === (typed.value === '' ? null : Number(typed.value) / factor);
  const written = distanceM === null ? '' : String(Math.round(distanceM * factor * 100) / 100);
  return (
    <label class="with-unit">
      <input
        type="number"
        inputMode="decimal"
        min={Math.ceil(SHORTEST_M * factor * 10) / 10}
        max={Math.floor(LONGEST_M * factor)}
        step="any"
        placeholder={units.value === 'metric' ? 'e.g. 3.00' : 'e.g. 10'}
        aria-invalid={wrong}
        value={isTyped ? typed.value : written}
        onInput={(event) => {
          const { value, valueAsNumber } = event.currentTarget;
          typed.value = value;
          groundMarks.setDistance(value === '' ? null : valueAsNumber / factor);
        }}
      />
      {unit === 'm' ? 'metres' : 'feet'} between the marks
    </label>
  );
}
