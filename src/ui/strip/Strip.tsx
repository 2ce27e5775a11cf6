import { useRef } from 'preact/hooks';
import { PASS_KINDS } from '../../gait/passKinds.ts';
import { useSession } from '../context.ts';
import { useSize } from '../useSize.ts';
import { BorderSteps, ChosenPart } from './ChosenPart.tsx';
import { StripDrawing, hasRoom, stripScale } from './StripDrawing.tsx';
import { KindIcon } from './KindIcon.tsx';
import { KIND_WORDS, doubtWords } from './kinds.ts';

/** The parts of the clip on its time axis: to go to, and to put right where they begin, end, or are of another kind. */
export function Strip() {
  const session = useSession();
  if (session.phase.value !== 'done' || !session.horseFound.value) return null;
  return (
    <section class="strip" aria-label="Parts of the clip">
      <Drawn />
      <BorderSteps />
      <ChosenPart />
      <Doubts />
    </section>
  );
}

/** Where the tool sees something else than the user. */
function Doubts() {
  const { doubts } = useSession().courseEdits;
  return (
    <div class="part-doubts" aria-live="polite">
      {doubts.value.map((doubt) => (
        <p key={doubt.set.startS}>{doubtWords(doubt)}</p>
      ))}
    </div>
  );
}

/** As wide as there is room for. */
function Drawn() {
  const ref = useRef<HTMLDivElement>(null);
  const { width } = useSize(ref).value;
  return (
    <div ref={ref}>
      {width > 0 && <StripDrawing width={width} />}
      {width > 0 && <KindLegend width={width} />}
    </div>
  );
}

/** What the pictures on the strip stand for, where a word finds no room. */
function KindLegend({ width }: { width: number }) {
  const { courseEdits, timesS } = useSession();
  const parts = courseEdits.parts.value.filter(({ kind }) => kind);
  const toX = stripScale(timesS.value, width);
  if (parts.every((part) => hasRoom(part, toX))) return null;
  return (
    <ul class="legend" aria-hidden="true">
      {PASS_KINDS.filter((kind) => parts.some((part) => part.kind === kind)).map((kind) => (
        <li key={kind}>
          <svg width="18" height="18" viewBox="-9 -9 18 18">
            <KindIcon kind={kind} />
          </svg>{' '}
          {KIND_WORDS[kind].name}
        </li>
      ))}
    </ul>
  );
}
