import type { Signal } from '@preact/signals';
import { PASS_KINDS } from '../../gait/passKinds.ts';
import { POINT_NAMES, type PointName } from '../../points.ts';
import { useSession } from '../context.ts';
import { Mark } from '../Mark.tsx';
import { KIND_WORDS, NO_PASS_KEY, NO_PASS_NAME, kindName } from '../strip/kinds.ts';
import { pointWords } from '../words.ts';
import type { ShownPoint } from './geometry.ts';
import type { Picture } from './Player.tsx';
import { SIDE_VIEW_POINTS } from './missing.ts';
import { Nudges } from './nudging.tsx';

/** Choosing a point, moving it by single px, and putting it back. */
export function PointPanel({ picture }: { picture: Signal<Picture | null> }) {
  const session = useSession();
  const now = picture.value;
  if (!now || !session.track.value || session.groundMarks.open.value) return null;
  const point = session.hand.point.value;
  const at = point ? now.points.get(point) : undefined;
  const nudge = (from: ShownPoint, dx: number, dy: number) =>
    point &&
    session.canMove() &&
    session.hand.nudge({ point, timeS: session.drawnTimeS.peek(), x: from.x + dx, y: from.y + dy });
  const found = (name: PointName) => (now.points.get(name)?.source ?? 'missing') !== 'missing';
  const choose = (value: string) => {
    session.playing.value = false;
    session.hand.point.value = value === '' ? null : (value as PointName);
  };
  return (
    <div class="point-panel">
      <label>
        <span class="unseen">Point</span>
        <select value={point ?? ''} onChange={(event) => choose(event.currentTarget.value)}>
          <option value="">Drag a point, or choose it here</option>
          {POINT_NAMES.filter((name) => found(name) || SIDE_VIEW_POINTS.includes(name)).map((name) => (
            <option key={name} value={name}>
              {found(name) ? pointWords(name) : `${pointWords(name)}, not found`}
            </option>
          ))}
        </select>
      </label>
      {point && at && <Nudges name={pointWords(point)} onNudge={(dx, dy) => nudge(at, dx, dy)} />}
      {point && at && <PointState point={point} at={at} />}
      <Legend />
    </div>
  );
}

function PointState({ point, at }: { point: PointName; at: ShownPoint }) {
  const session = useSession();
  const byHand = session.hand.handPoints.value.get(point);
  const source = session.hand.moving.value
    ? 'being moved'
    : at.source === 'missing'
      ? 'not found here: drag the dashed ring to its place'
      : byHand
        ? 'set by hand here'
        : at.source === 'hand'
          ? 'follows a point set by hand nearby'
          : at.source === 'bridged'
            ? 'hidden here; bridged from before and after'
            : 'found by the program';
  return (
    <span class="point-state">
      {source}
      {byHand && (
        <button type="button" onClick={() => session.hand.clear(byHand)}>
          Put back
        </button>
      )}
    </span>
  );
}

const KIND_KEYS = [...PASS_KINDS.map((kind) => KIND_WORDS[kind].key), NO_PASS_KEY].join(', ');
const KIND_NAMES = [...PASS_KINDS.map(kindName), NO_PASS_NAME].join(', ').toLowerCase();

const KEYS: readonly (readonly [string, string])[] = [
  ['space', 'play or pause'],
  [', and . or the left and right arrows', 'one frame back, one on'],
  ['Tab', 'from point to point, then to the ends of the bars'],
  ['up and down on the end of a bar', 'to the end before, to the next'],
  ['arrows on a point or a flag', 'move it by one dot of the picture; with Shift by five'],
  ['left and right on the end of a bar', 'move it by one frame; with Shift by five'],
  ['Enter on a part of the strip', 'go there'],
  ['left and right on a border of the strip', 'move it by one frame; with Shift by ten'],
  [KIND_KEYS, `on a part of the strip: it is ${KIND_NAMES}`],
  ['Ctrl+Z, Ctrl+Shift+Z', 'undo, redo'],
  ['z', 'close to the horse'],
  ['n', 'to the next of the points that help most'],
];

export function Keys() {
  const session = useSession();
  if (!session.horseFound.value || !session.track.value) return null;
  return (
    <details class="keys" aria-label="Keys">
      <summary>Keys</summary>
      <dl>
        {KEYS.map(([key, action]) => (
          <>
            <dt key={key}>{key}</dt>
            <dd>{action}</dd>
          </>
        ))}
      </dl>
    </details>
  );
}

function Legend() {
  return (
    <ul class="legend" aria-label="Marks in the picture">
      <li>
        <Mark side="left" /> left
      </li>
      <li>
        <Mark side="right" /> right
      </li>
      <li>
        <Mark side={null} /> middle or near side
      </li>
      <li>
        <Mark side={null} byHand /> set by hand
      </li>
      <li>
        <svg width="26" height="8" aria-hidden="true">
          <path d="M1 4H25" class="dashed" />
        </svg>{' '}
        far side
      </li>
    </ul>
  );
}
