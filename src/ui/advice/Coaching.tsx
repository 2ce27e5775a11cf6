import { isLookedAt } from '../../advice/coaching.ts';
import type { Moment } from '../../advice/moments.ts';
import { ONLY_RIDDEN, momentWords } from '../../advice/words.ts';
import type { CoursePass } from '../../gait/index.ts';
import { useSession } from '../context.ts';
import { passName, spanWords } from '../strip/kinds.ts';
import { type Given, adviceOf } from './advice.ts';
import { isLed, isOnlyRidden } from './ridden.ts';

const CAN_BE_LED = ['side', 'away', 'towards'];

/** Moments to lead better, pass by pass; each leads the player to it. */
export function Coaching() {
  const session = useSession();
  const given = adviceOf(session).given.value;
  if (!given) return null;
  if (!given.course.some(({ kind }) => CAN_BE_LED.includes(kind))) return null;
  return (
    <section
      class="coaching"
      aria-labelledby="coaching-title"
      aria-busy={given.course !== session.course.value}
    >
      <h2 id="coaching-title">To lead better next time</h2>
      {isOnlyRidden(session.poses.value) ? <p>{ONLY_RIDDEN}</p> : <Moments given={given} />}
    </section>
  );
}

function Moments({ given }: { given: Given }) {
  const led = isLed(useSession().poses.value);
  const passes = given.course.flatMap((one, index) =>
    CAN_BE_LED.includes(one.kind) ? [{ one, index }] : [],
  );
  return (
    <>
      <p class="note">
        {given.moments.length > 0 ? 'Tap a moment to see it. ' : ''}Looked at: the pace, jogged steps,{' '}
        {led ? 'where the handler walks, ' : ''}a head carried high on the way past, a head turned on the ways
        away and back. Only what is surely there is listed.{led ? '' : ' No handler was seen in this clip.'}
      </p>
      {passes.map(({ one, index }) => (
        <PassMoments key={index} pass={one} moments={given.moments.filter((m) => m.pass === index)} />
      ))}
    </>
  );
}

function PassMoments({ pass, moments }: { pass: CoursePass; moments: readonly Moment[] }) {
  return (
    <>
      <h3>
        {passName(pass)} <span class="light">{spanWords(pass.startS, pass.endS)}</span>
      </h3>
      {moments.length === 0 ? (
        <p class="nothing">
          {isLookedAt(pass)
            ? 'Nothing stands out.'
            : 'Too little of this pass could be measured, so it was not looked at.'}
        </p>
      ) : (
        <ul>
          {moments.map((moment) => (
            <MomentLine key={`${moment.kind} ${moment.startS}`} moment={moment} />
          ))}
        </ul>
      )}
    </>
  );
}

function MomentLine({ moment }: { moment: Moment }) {
  const session = useSession();
  const { startS, endS } = moment;
  const { seen, next } = momentWords(moment);
  const isShown = session.timeS.value >= startS - SHOWN_S && session.timeS.value <= endS;
  const show = () => {
    session.playing.value = false;
    session.showTime(startS);
    document.querySelector('.stage')?.scrollIntoView({ block: 'nearest' });
  };
  return (
    <li>
      <button type="button" class="quiet-button" aria-current={isShown} onClick={show}>
        <span class="figures">{spanWords(startS, endS)}</span> <span>{seen}</span>
      </button>
      <p>{next}</p>
    </li>
  );
}

/** The frame shown may lie a little before the moment's start. */
const SHOWN_S = 0.05;
