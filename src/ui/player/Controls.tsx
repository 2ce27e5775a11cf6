import type { Signal } from '@preact/signals';
import { Icon } from '../Icon.tsx';
import { useSession } from '../context.ts';
import { formatTime } from '../format.ts';
import { SPEEDS, stepFrames, togglePlaying } from './playback.ts';

interface ControlsProps {
  speed: Signal<number>;
  /** Null where there is no horse to come closer to. */
  zoomed: Signal<boolean> | null;
  onOtherHorse: () => void;
}

export function Controls({ speed, zoomed, onOtherHorse }: ControlsProps) {
  const session = useSession();
  const playing = session.playing.value;
  return (
    <div class="controls" role="group" aria-label="Player">
      <Scrubber />
      <div class="buttons">
        <button
          type="button"
          aria-label="One frame back"
          title="One frame back ( , )"
          onClick={() => stepFrames(session, -1)}
        >
          <Icon name="back" />
        </button>
        <button
          type="button"
          class="play"
          aria-label={playing ? 'Pause' : 'Play'}
          title="Play or pause (space)"
          onClick={() => togglePlaying(session)}
        >
          <Icon name={playing ? 'pause' : 'play'} />
        </button>
        <button
          type="button"
          aria-label="One frame on"
          title="One frame on ( . )"
          onClick={() => stepFrames(session, 1)}
        >
          <Icon name="on" />
        </button>
        <SpeedChoice speed={speed} />
        {zoomed && (
          <button
            type="button"
            aria-pressed={zoomed.value}
            title="Close to the horse (z)"
            onClick={() => (zoomed.value = !zoomed.value)}
          >
            <Icon name="closer" /> Closer
          </button>
        )}
        {session.phase.value === 'done' && (
          <button type="button" title="Measure another horse of this clip" onClick={onOtherHorse}>
            Another horse
          </button>
        )}
        <UndoRedo />
      </div>
    </div>
  );
}

function SpeedChoice({ speed }: { speed: Signal<number> }) {
  return (
    <label class="speed">
      <span class="unseen">Speed</span>
      <select
        value={String(speed.value)}
        onChange={(event) => (speed.value = Number(event.currentTarget.value))}
      >
        {SPEEDS.map((value) => (
          <option key={value} value={String(value)}>
            {value === 1 ? 'full speed' : `1/${1 / value} speed`}
          </option>
        ))}
      </select>
    </label>
  );
}

function UndoRedo() {
  const session = useSession();
  const { canUndo, canRedo } = session.hand.edited.value;
  return (
    <span class="apart">
      <button
        type="button"
        aria-label="Undo"
        title="Undo (Ctrl+Z)"
        disabled={!canUndo && !session.hand.moving.value}
        onClick={() => session.hand.undo()}
      >
        <Icon name="undo" />
      </button>
      <button
        type="button"
        aria-label="Redo"
        title="Redo (Ctrl+Shift+Z)"
        disabled={!canRedo}
        onClick={() => session.hand.redo()}
      >
        <Icon name="redo" />
      </button>
    </span>
  );
}

function Scrubber() {
  const session = useSession();
  const times = session.timesS.value;
  const frame = session.frame.value;
  const clip = session.clip.value;
  const timeWords = formatTime(session.timeS.value);
  // While the clip is read nobody knows how many frames it has.
  const where =
    session.phase.value === 'done' || !clip
      ? `${timeWords}, frame ${frame + 1} of ${times.length}`
      : `${timeWords} of ${formatTime(clip.durationS)}`;
  return (
    <div class="scrubber">
      <input
        type="range"
        min={0}
        max={Math.max(times.length - 1, 0)}
        value={frame}
        aria-label="Place in the clip"
        aria-valuetext={where}
        onInput={(event) => {
          session.playing.value = false;
          session.showFrame(event.currentTarget.valueAsNumber);
        }}
      />
      <output class="where">{where}</output>
    </div>
  );
}
