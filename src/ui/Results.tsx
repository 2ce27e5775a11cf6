import { useSignal } from '@preact/signals';
import { REASONS, type ReasonCode } from '../gait/reasons.ts';
import type { SidePass } from '../gait/types.ts';
import { Corrections } from './Corrections.tsx';
import { Footfalls } from './charts/Footfalls.tsx';
import { HeadCurve } from './charts/HeadCurve.tsx';
import { PrintMap } from './charts/PrintMap.tsx';
import { MeasureTable } from './MeasureTable.tsx';
import { Player } from './player/Player.tsx';
import { WithersField } from './WithersField.tsx';
import { useSession } from './context.ts';
import { formatSize, formatTime } from './format.ts';
import { CAUTIONS, DRAWN, warningWords } from './words.ts';

/** A clip that is being read or was read: picture, charts, measures. */
export function Results() {
  const session = useSession();
  const done = session.phase.value === 'done';
  const pass = session.pass.value;
  return (
    <div class="results">
      <ClipLine />
      <div class="column">
        <Player />
        <div class="notice">
          <p role="status">{session.notice.value}</p>
          {session.notice.value !== '' && (
            <button type="button" class="quiet-button" onClick={() => (session.notice.value = '')}>
              Hide
            </button>
          )}
        </div>
        {pass && <Footfalls pass={pass} />}
        <Corrections />
      </div>
      <div class="column aside">
        {done && <PassChoice />}
        <WithersField />
        {done && (
          <>
            <Warnings pass={pass} />
            {pass ? <MeasureTable pass={pass} /> : <NoPass />}
            <p class="caution">
              {CAUTIONS.notAnExamination} {CAUTIONS.vet}
            </p>
            {pass && <Export />}
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
    </div>
  );
}

function NoPass() {
  const session = useSession();
  const anyHorse = session.poses.value.some(({ horse }) => horse !== null);
  return (
    <p class="failure">
      {anyHorse
        ? `${REASONS.noSidePass} For another horse in the clip, use “Another horse”.`
        : REASONS.noHorse}
    </p>
  );
}

function ClipLine() {
  const session = useSession();
  const clip = session.clip.value;
  return (
    <div class="clip-line">
      <p>
        {clip && (
          <>
            <strong>{clip.name}</strong>{' '}
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

function PassChoice() {
  const session = useSession();
  const passes = session.passes.value;
  if (passes.length < 2) return null;
  return (
    <div class="pass-choice" role="group" aria-label="Passes in this clip">
      {passes.map((pass, index) => (
        <button
          key={pass.startS}
          type="button"
          aria-pressed={index === session.passIndex.value}
          onClick={() => session.choosePass(index)}
        >
          Pass {index + 1}, to the {pass.direction}
          <span class="light">
            {' '}
            {pass.startS.toFixed(1)} to {pass.endS.toFixed(1)} s
          </span>
        </button>
      ))}
    </div>
  );
}

/** All that bears on how far the numbers can be trusted. */
function Warnings({ pass }: { pass: SidePass | null }) {
  const { sample, reading } = useSession();
  const damage = reading.value?.damage ?? null;
  const codes = pass?.warnings.filter((code) => !isSaidElsewhere(code, pass)) ?? [];
  if (!sample.value && damage === null && codes.length === 0) return null;
  return (
    <ul class="warnings" aria-label="Mind this">
      {sample.value && <li class="drawn">{DRAWN}</li>}
      {damage !== null && <li class="damage">{damage}</li>}
      {pass && codes.map((code) => <li key={code}>{warningWords(code, pass)}</li>)}
    </ul>
  );
}

/** Beside the field for the height, or among the reasons above the table. */
const isSaidElsewhere = (code: ReasonCode, { measures: { strideLengthM } }: SidePass): boolean =>
  code === 'withersHeightMissing' || ('reason' in strideLengthM && strideLengthM.reason === code);

function Method() {
  const session = useSession();
  const [reading, clip] = [session.reading.value, session.clip.value];
  if (!reading || !clip) return null;
  const { backend, networkVersion, frames, pick } = reading;
  return (
    <p class="note method">
      How this was measured: {frames} pictures decoded by{' '}
      {clip.decoder === 'webcodecs' ? 'the browser' : 'FFmpeg, which comes with the page'}; points found by
      network version {networkVersion}
      {backend === null ? ' at an earlier visit' : `, run on ${BACKEND_WORDS[backend] ?? backend}`}
      {pick && `; the horse chosen by hand at ${formatTime(pick.timeS)} is followed from there on`}. All of it
      on this machine.
    </p>
  );
}

const BACKEND_WORDS: Readonly<Record<string, string>> = {
  wasm: 'the processor (WebAssembly)',
  webgl: 'the graphics card (WebGL)',
};

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
        Save the measures (JSON)
      </button>
      {failed.value && <span role="alert"> Nothing to save yet.</span>}
    </p>
  );
}
