import { useSignal } from '@preact/signals';
import { findingWords, SMEAR_NOT_TOLD } from '../../advice/words.ts';
import type { TakeCause } from '../../advice/faults.ts';
import type { Finding } from '../../advice/takeCheck.ts';
import type { ReasonCode } from '../../gait/reasons.ts';
import { useSession } from '../context.ts';
import type { Session } from '../session.ts';
import { adviceOf } from './advice.ts';
import { costWords } from './costWords.ts';
import { FilmingCardLink, useOwnCard } from './FilmingCard.tsx';

const TAKE_CHECK_ID = 'take-check';
/** As many are read at once; the others are asked for. */
const FIRST = 3;

const COST_MEANS =
  'What each costs: so much nearer to the value either end of its range would be without it.';

interface Checked {
  readonly findings: readonly Finding[];
  readonly isOld: boolean;
}

/** Of the pass that is shown; null while it is not looked at, or where nothing of it was measured. That the height is missing is said beside its field. */
function checkedNow(session: Session): Checked | null {
  const given = adviceOf(session).given.value;
  if (!given || !session.measured.value) return null;
  const findings = given.findings.filter(
    ({ pass, cause }) => pass === session.passIndex.value && cause !== 'withersMissing',
  );
  return { findings, isOld: given.course !== session.course.value };
}

/** Warnings that say less of what a finding says too. */
const CAUSE_OF: Readonly<Partial<Record<ReasonCode, TakeCause>>> = {
  oblique: 'oblique',
  tooOblique: 'oblique',
  groundUnsure: 'groundLost',
  tooFewFrames: 'fewPictures',
};

/** Whether what is read at once of the take check of the pass that is shown says what a warning says. */
export const isToldByCheck = (session: Session, code: ReasonCode): boolean =>
  checkedNow(session)
    ?.findings.slice(0, FIRST)
    .some(({ cause }) => cause === CAUSE_OF[code]) ?? false;

/** What the filming of the pass that is shown costs in its numbers, and how to film it next time. */
export function TakeCheck() {
  const session = useSession();
  const open = useSignal(false);
  const checked = checkedNow(session);
  if (!checked) return <FilmingCardLink />;
  const { findings, isOld } = checked;
  const shown = open.value ? findings : findings.slice(0, FIRST);
  return (
    <section
      class="take-check"
      id={TAKE_CHECK_ID}
      tabIndex={-1}
      aria-labelledby="take-title"
      aria-busy={isOld}
    >
      <h2 id="take-title">How this pass was filmed</h2>
      {findings.length === 0 && <p>Nothing stands out.</p>}
      {findings.some(({ costs }) => costs.length > 0) && <p class="note">{COST_MEANS}</p>}
      <ul>
        {shown.map((finding) => (
          <FindingLine key={finding.cause} finding={finding} />
        ))}
      </ul>
      {findings.length > FIRST && (
        <button type="button" aria-expanded={open.value} onClick={() => (open.value = !open.value)}>
          {open.value ? 'Fewer' : `${findings.length - FIRST} more`}
        </button>
      )}
      <p class="note">{SMEAR_NOT_TOLD}</p>
      <FilmingCardLink />
    </section>
  );
}

function FindingLine({ finding }: { finding: Finding }) {
  const { units } = useSession();
  const { seen, next } = findingWords(finding, useOwnCard());
  const cost = costWords(finding, units.value);
  const isTold = finding.refuses || finding.costs.length > 0;
  return (
    <li data-cause={finding.cause}>
      <p>
        {seen} {isTold ? <b class="figures">{cost}</b> : <span class="light">{cost}</span>}
      </p>
      <p>{next}</p>
    </li>
  );
}

/** Where the numbers stand above the table: how many things of the filming bear on them. */
export function TakeCheckLine() {
  const checked = checkedNow(useSession());
  if (!checked || checked.findings.length === 0) return null;
  const { length } = checked.findings;
  return (
    <a class="take-check-line" href={`#${TAKE_CHECK_ID}`}>
      {length === 1 ? 'One thing' : `${length} things`} in the filming of this pass
    </a>
  );
}
