import { PASS_KINDS, type PassKind } from '../../gait/passKinds.ts';
import { useSession } from '../context.ts';
import { KIND_WORDS, NO_PASS_NAME, kindName, spanWords } from './kinds.ts';
import { stepBorder } from './actions.ts';
import { canSplit } from './parts.ts';

/** What the chosen part is, and what else it may be. */
export function ChosenPart() {
  const session = useSession();
  const { courseEdits: edits } = session;
  const part = edits.part.value;
  if (!part) return null;
  const change = (value: string) => edits.setKind(part, value === '' ? null : (value as PassKind));
  return (
    <div class="chosen-part">
      <label>
        <span class="light figures">{spanWords(part.fromS, part.toS)} is</span>{' '}
        <select
          value={part.kind ?? ''}
          aria-label="Kind of this part"
          onChange={(event) => change(event.currentTarget.value)}
        >
          {PASS_KINDS.map((kind) => (
            <option key={kind} value={kind}>
              {KIND_WORDS[kind].full}
            </option>
          ))}
          <option value="">{NO_PASS_NAME}</option>
        </select>
      </label>
      {canSplit(part, session.timeS.value) && (
        <button type="button" title="Two parts, from the picture shown on" onClick={() => edits.split(part)}>
          Split here
        </button>
      )}
    </div>
  );
}

const STEPS = [
  [-10, '10 earlier'],
  [-1, '1 earlier'],
  [1, '1 later'],
  [10, '10 later'],
] as const;

/** For fingers: moves the border that was taken hold of last by one frame or ten. */
export function BorderSteps() {
  const session = useSession();
  const { courseEdits: edits } = session;
  const border = edits.borders.value.find(({ key }) => key === edits.held.value);
  if (!border) return null;
  return (
    <div class="border-steps" role="group" aria-label="Move the border by frames">
      <span class="light">
        Border from {kindName(border.before.kind).toLowerCase()} to{' '}
        {kindName(border.after.kind).toLowerCase()}, frames:
      </span>
      {STEPS.map(([frames, words]) => (
        <button
          key={frames}
          type="button"
          aria-label={words}
          onClick={() => stepBorder(session, border, frames)}
        >
          {frames < 0 ? `\u2212${-frames}` : `+${frames}`}
        </button>
      ))}
    </div>
  );
}
