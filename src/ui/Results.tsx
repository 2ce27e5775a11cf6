import { useSignal } from '@preact/signals';
import { noPassWarnings } from '../gait/noPass.ts';
import { REASONS, type ReasonCode } from '../gait/reasons.ts';
import type { SidePass } from '../gait/types.ts';
import type { PoseFrame } from '../pose/types.ts';
import { CorrectionTourBar } from './CorrectionTour.tsx';
import { Corrections } from './Corrections.tsx';
import { Coaching } from './advice/Coaching.tsx';
import { TakeCheck, TakeCheckLine, isToldByCheck } from './advice/TakeCheck.tsx';
import { Footfalls } from './charts/Footfalls.tsx';
import { HeadCurve } from './charts/HeadCurve.tsx';
import { LineCharts } from './charts/LineCharts.tsx';
import { PrintMap } from './charts/PrintMap.tsx';
import { MainNumbers, SkipToMeasures } from './MainNumbers.tsx';
import { LineTable } from './LineTable.tsx';
import { MeasureTable } from './MeasureTable.tsx';
import { Player } from './player/Player.tsx';
import { WithersField } from './WithersField.tsx';
import { useSession } from './context.ts';
import { measuredOf } from './shownPass.ts';
import { unmeasuredWords } from './lineWords.ts';
import { onKindKey } from './strip/actions.ts';
import { passName, spanWords } from './strip/kinds.ts';
import { formatSize, formatTime } from './format.ts';
import { byWords, partWords, refusedWords } from './ranOnWords.ts';
import {
  CAUTIONS,
  NO_HORSE_ADVICE,
  NO_PASS_ADVICE,
  ON_ITS_SIDE,
  WHAT_IS_MEASURED,
  drawnWords,
  warningWords,
} from './words.ts';

/** A clip that is being read or was read: picture, charts, measures. */
export function Results() {
  const session = useSession();
  const done = session.phase.value === 'done';
  const [pass, measured] = [session.pass.value, session.measured.value];
  return (
    <div class="results">
      {measured && done && <SkipToMeasures />}
      <ClipLine />
      <div class="column">
        <Player>
          {done && <TakeCheckLine />}
          {measured && done && <MainNumbers pass={measured} />}
          {measured && done && <CorrectionTourBar pass={measured} />}
        </Player>
        <Notice />
        {pass && <Footfalls pass={pass} />}
        <Corrections />
        {done && <Coaching />}
      </div>
      <div class="column aside">
        {done && <PassChoice />}
        {(!done || session.horseFound.value) && <WithersField />}
        {done && (
          <>
            <Warnings pass={pass} />
            <TakeCheck />
            <Measures />
            <p class="caution">
              {CAUTIONS.notAnExamination} {CAUTIONS.vet}
            </p>
            {session.anyMeasured.value && <Export />}
            <Method />
          </>
        )}
      </div>
      {pass && (
        <div class="column below">
          <PrintMap pass={pass} />
          <HeadCurve pass={pass} />
        </div>
      )}
      {measured && measured.kind !== 'side' && (
        <div class="column below">
          <LineCharts pass={measured} />
        </div>
      )}
    </div>
  );
}

/** Of the chosen pass; where nothing of it is measured, what it is. */
function Measures() {
  const session = useSession();
  const measured = session.measured.value;
  if (measured)
    return measured.kind === 'side' ? <MeasureTable pass={measured} /> : <LineTable pass={measured} />;
  if (!session.anyMeasured.value) return <NoPass />;
  return <p class="unmeasured">{unmeasuredWords(session.chosen.value)}</p>;
}

/** What the last action did; a slip is asked about. */
function Notice() {
  const session = useSession();
  const { notice, doubtful } = session;
  const asked = doubtful.value;
  return (
    <div class="notice">
      <p role="status">
        {notice.value}
        {asked && ' That is far from the leg: was it meant?'}
      </p>
      {asked && (
        <button type="button" class="quiet-button" onClick={() => session.hand.undo()}>
          Take it back
        </button>
      )}
      {notice.value !== '' && (
        <button type="button" class="quiet-button hide" onClick={() => (notice.value = '')}>
          Hide
        </button>
      )}
    </div>
  );
}

/** What was missed and what to do about it. */
function NoPass() {
  const session = useSession();
  const found = session.horseFound.value;
  const words = session.sample.value?.noPassWords;
  if (found && words !== undefined)
    return (
      <section class="failure" aria-label="Nothing was measured">
        <p>{words}</p>
      </section>
    );
  const track = session.track.value;
  return (
    <section class="failure" aria-label="Nothing was measured">
      <p>{found ? `${REASONS.noPass} ${WHAT_IS_MEASURED}` : REASONS.noHorse}</p>
      {found && track && noPassWarnings(track).map((code) => <p key={code}>{REASONS[code]}</p>)}
      <ul>
        {(found ? NO_PASS_ADVICE : NO_HORSE_ADVICE).map((line) => (
          <li key={line}>{line}</li>
        ))}
        {found && isUpright(session.poses.value) && <li>{ON_ITS_SIDE}</li>}
      </ul>
    </section>
  );
}

/** Whether the horse stands taller than wide in most frames, as one in a clip that lies on its side. */
function isUpright(poses: readonly PoseFrame[]): boolean {
  const boxes = poses.flatMap(({ horse }) => (horse ? [horse.box] : []));
  return boxes.filter(([x0, y0, x1, y1]) => y1 - y0 > x1 - x0).length > boxes.length / 2;
}

function ClipLine() {
  const session = useSession();
  const clip = session.clip.value;
  return (
    <div class="clip-line">
      <p>
        {clip && (
          <>
            <strong>{session.sample.value?.title ?? clip.name}</strong>{' '}
            <span class="light">
              {formatSize(clip.sizeBytes)}, {clip.widthPx} × {clip.heightPx}, {clip.durationS.toFixed(1)} s at{' '}
              {clip.meanFps.toFixed(0)} frames a second
            </span>
          </>
        )}
      </p>
      {session.phase.value === 'done' && (
        <button type="button" onClick={() => session.cancel()}>
          Another clip
        </button>
      )}
    </div>
  );
}

/** The passes of which something is measured. */
function PassChoice() {
  const session = useSession();
  const choices = session.course.value.flatMap((one, index) => (measuredOf(one) ? [{ one, index }] : []));
  if (choices.length < 2) return null;
  return (
    <div class="pass-choice" role="group" aria-label="Passes in this clip">
      {choices.map(({ one, index }) => (
        <button
          key={one.startS}
          type="button"
          aria-pressed={index === session.passIndex.value}
          onClick={() => session.choosePass(index)}
          onKeyDown={(event) => index === session.passIndex.peek() && onKindKey(session, event)}
        >
          {passName(one)} <span class="light">{spanWords(one.startS, one.endS)}</span>
        </button>
      ))}
    </div>
  );
}

/** All that bears on how far the numbers can be trusted. */
function Warnings({ pass }: { pass: SidePass | null }) {
  const session = useSession();
  const { sample, reading, units, measured } = session;
  const damage = reading.value?.damage ?? null;
  const isToldElsewhere = (code: ReasonCode) =>
    code === 'withersHeightMissing' || isToldByCheck(session, code); // Said beside its field, or with its cost.
  const codes = pass?.warnings.filter((code) => !isToldElsewhere(code)) ?? [];
  if (!sample.value && damage === null && codes.length === 0) return null;
  return (
    <ul class="warnings" aria-label="Mind this">
      {sample.value && <li class="drawn">{drawnWords(sample.value, units.value)}</li>}
      {measured.value && sample.value?.unmeasured !== undefined && <li>{sample.value.unmeasured}</li>}
      {damage !== null && <li class="damage">{damage}</li>}
      {pass && codes.map((code) => <li key={code}>{warningWords(code, pass)}</li>)}
    </ul>
  );
}

function Method() {
  const session = useSession();
  const [reading, clip] = [session.reading.value, session.clip.value];
  if (!reading || !clip) return null;
  const { ranOn, networkVersion, frames, pick } = reading;
  return (
    <div class="note method">
      {pick && <p>The horse chosen by hand at {formatTime(pick.timeS)} is followed from there on.</p>}
      <details aria-label="Details of how this was measured">
        <summary>Details of how this was measured</summary>
        <p>
          {frames} pictures decoded by{' '}
          {clip.decoder === 'webcodecs' ? 'the browser' : 'FFmpeg, which comes with the page'}; a network
          trained on pictures of horses found the points in them
          {ranOn === null ? ' at an earlier visit' : `, on ${partWords(ranOn)}`}. All of it on this machine.
        </p>
        <p>
          Network version {networkVersion}
          {ranOn && `, run with ${byWords(ranOn)}`}.{ranOn && refusedWords(ranOn)}
        </p>
      </details>
    </div>
  );
}

function Export() {
  const session = useSession();
  const failed = useSignal(false);
  const save = () => {
    const json = session.exportJson();
    failed.value = json === null;
    if (json === null) return;
    const url = URL.createObjectURL(new Blob([json], { type: 'application/json' }));
    const link = document.createElement('a');
    link.href = url;
    link.download = `${(session.clip.peek()?.name ?? 'clip').replace(/\.[^.]*$/, '')}.ledwalk.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(url), 10_000);
  };
  return (
    <p class="export">
      <button type="button" onClick={save}>
        Save the measures
      </button>
      {failed.value && <span role="alert"> Nothing to save yet.</span>}
    </p>
  );
}
