import { LevelAxis } from '../charts/Frame.tsx';
import { type Scale, linear } from '../charts/scale.ts';
import { type DragChart, type Place, useEdgeDrag } from '../charts/useEdgeDrag.ts';
import { useSession } from '../context.ts';
import { formatTime } from '../format.ts';
import type { Session } from '../session.ts';
import { KindIcon, KindPatterns } from './KindIcon.tsx';
import { onKindKey, stepBorder } from './actions.ts';
import { kindName, spanWords } from './kinds.ts';
import { type Border, type Part, partAt } from './parts.ts';

/** The bar with the parts; beneath it the lane of the borders, so that a finger on one does not cover the other. */
const BAR_PX = 44;
const LANE_PX = 44;
const PAD_PX = 12;
const REACH_PX = 24;
const GRIP_PX = 9;
/** A word on a part needs the icon's room and so much for each letter. */
const ICON_PX = 26;
const LETTER_PX = 8;

export function StripDrawing({ width }: { width: number }) {
  const session = useSession();
  const { courseEdits: edits, timesS, passIndex } = session;
  const [firstS, lastS] = [timesS.value[0] ?? 0, timesS.value.at(-1) ?? 0];
  const toX = stripScale(timesS.value, width);
  const borders = edits.borders.value;
  const ref = useEdgeDrag(session, stripDrag(session, borders, toX), edits.moving);
  const parts = edits.drawn();
  const chosen = parts.find((part) => part.index === passIndex.value) ?? edits.part.value;
  return (
    <svg
      ref={ref}
      width={width}
      height={BAR_PX + LANE_PX + 22}
      role="group"
      aria-label="Parts of the clip against time"
    >
      <KindPatterns />
      {parts.map((part) => (
        <PartBar key={part.fromS} part={part} toX={toX} pressed={part === chosen} />
      ))}
      {borders.map((border, order) => (
        <BorderHandle key={border.key} border={border} order={order} toX={toX} />
      ))}
      <Playhead toX={toX} />
      <LevelAxis scale={toX} range={[firstS, lastS]} at={BAR_PX + LANE_PX} label="" most={width / 70} />
    </svg>
  );
}

/** Whether the name of a part finds room on it. */
export const hasRoom = ({ kind, fromS, toS }: Part, toX: Scale): boolean =>
  toX(toS) - toX(fromS) > ICON_PX + LETTER_PX * kindName(kind).length;

/** The time axis of the strip. */
export function stripScale(timesS: readonly number[], width: number): Scale {
  return linear([timesS[0] ?? 0, timesS.at(-1) ?? 0], [PAD_PX, width - PAD_PX]);
}

function stripDrag(session: Session, borders: readonly Border[], toX: Scale): DragChart<Border> {
  const { courseEdits: edits } = session;
  const near = ({ x, y }: Place): Border | null => {
    const away = ({ timeS }: Border): number => Math.abs(toX(timeS) - x);
    const [nearest] = [...borders].sort((a, b) => away(a) - away(b));
    return y > BAR_PX && y < BAR_PX + LANE_PX && nearest && away(nearest) <= REACH_PX ? nearest : null;
  };
  return {
    toX,
    near,
    drop: (border, timeS) => edits.moveBorder(border, timeS),
    tap: (timeS, { y }) => {
      const part = partAt(edits.parts.peek(), timeS);
      if (y > BAR_PX || !part) return;
      edits.held.value = null;
      session.playing.value = false;
      session.choosePass(part.index ?? -1, timeS);
    },
  };
}

function PartBar({ part, toX, pressed }: { part: Part; toX: Scale; pressed: boolean }) {
  const session = useSession();
  const { kind, direction, fromS, toS, index } = part;
  const [x, end] = [toX(fromS), toX(toS)];
  const [middle, room] = [(x + end) / 2, end - x];
  const word = kindName(kind);
  const fits = hasRoom(part, toX);
  const onKeyDown = (event: KeyboardEvent) => {
    if (event.key !== 'Enter' && event.key !== ' ') return onKindKey(session, event, part);
    event.preventDefault();
    session.playing.value = false;
    session.choosePass(index ?? -1, index === null ? fromS : undefined);
  };
  return (
    <g
      class={`part ${kind ? `kind-${kind}` : 'no-pass'}`}
      role="button"
      tabindex={0}
      aria-label={`${word}, ${spanWords(fromS, toS)}`}
      aria-pressed={pressed}
      data-part={kind ?? 'none'}
      onKeyDown={onKeyDown}
    >
      <rect class="ground" x={x} width={Math.max(room, 1)} height={BAR_PX} />
      {kind && <rect fill={`url(#kind-pattern-${kind})`} x={x} width={Math.max(room, 1)} height={BAR_PX} />}
      {pressed && (
        <rect class="frame" x={x + 1.5} y={1.5} width={Math.max(room - 3, 1)} height={BAR_PX - 3} />
      )}
      {kind && room > 18 && (
        <g transform={`translate(${fits ? middle - (LETTER_PX * word.length) / 2 : middle} ${BAR_PX / 2})`}>
          <KindIcon kind={kind} direction={direction} />
        </g>
      )}
      {fits && (
        <text x={kind ? middle + ICON_PX / 2 - 1 : middle} y={BAR_PX / 2 + 5} text-anchor="middle">
          {word}
        </text>
      )}
    </g>
  );
}

/** Where two parts meet: a slider for the keyboard; pointers are served by the strip around it. */
function BorderHandle({ border, order, toX }: { border: Border; order: number; toX: Scale }) {
  const session = useSession();
  const { courseEdits: edits } = session;
  const timeS = edits.moving.value?.key === border.key ? edits.moving.value.timeS : border.timeS;
  const onKeyDown = (event: KeyboardEvent) => {
    const direction = event.key === 'ArrowLeft' ? -1 : event.key === 'ArrowRight' ? 1 : 0;
    if (direction === 0) return;
    event.preventDefault();
    stepBorder(session, border, direction * (event.shiftKey ? 10 : 1));
  };
  const y = BAR_PX + LANE_PX / 2;
  return (
    <g
      class="edge border"
      data-edge={border.key}
      data-held={edits.held.value === border.key}
      role="slider"
      tabindex={0}
      aria-label={borderWords(border, order)}
      aria-valuemin={border.minS}
      aria-valuemax={border.maxS}
      aria-valuenow={timeS}
      aria-valuetext={formatTime(timeS)}
      transform={`translate(${toX(timeS)} 0)`}
      onFocus={() => (edits.held.value = border.key)}
      onKeyDown={onKeyDown}
    >
      <rect class="target" x={-LANE_PX / 2} y={BAR_PX} width={LANE_PX} height={LANE_PX} />
      <path class="stem" d={`M0 0V${y}`} />
      <circle class="grip" cy={y} r={GRIP_PX} />
      <path class="arrows" d={`M-2 ${y - 4}l-4 4 4 4M2 ${y - 4}l4 4-4 4`} />
    </g>
  );
}

const borderWords = ({ before, after }: Border, order: number): string =>
  `Border ${order + 1}, from ${kindName(before.kind).toLowerCase()} to ${kindName(after.kind).toLowerCase()}`;

function Playhead({ toX }: { toX: Scale }) {
  const x = toX(useSession().timeS.value);
  return <path class="playhead" d={`M${x} 0V${BAR_PX + LANE_PX}`} />;
}
