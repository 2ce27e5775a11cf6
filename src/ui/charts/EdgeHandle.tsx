import type { Signal } from '@preact/signals';
import type { SidePass } from '../../gait/types.ts';
import { LIMBS } from '../../points.ts';
import { useSession } from '../context.ts';
import { formatTime } from '../format.ts';
import { steppedTime } from '../frameTimes.ts';
import { LIMB_WORDS, isFar } from '../words.ts';
import type { TabStop } from './Footfalls.tsx';
import { type DrawnEdge, ROW_PX } from './footfallEdges.ts';
import type { Scale } from './scale.ts';
import { type MovingEdge, within } from './useEdgeDrag.ts';

const TOUCH_PX = 44;
const GRIP_PX = 30;

interface EdgeHandleProps {
  edge: DrawnEdge;
  pass: SidePass;
  toX: Scale;
  moving: Signal<MovingEdge | null>;
  tabStop: TabStop;
}

/** The end of a bar: a slider for the keyboard; pointers are served by the chart around it. */
export function EdgeHandle({ edge, pass, toX, moving, tabStop }: EdgeHandleProps) {
  const session = useSession();
  const timeS = moving.value?.key === edge.key ? moving.value.timeS : edge.timeS;
  const byHand = session.hand.corrections.value.some(
    (c) =>
      c.kind === 'event' && c.limb === edge.limb && c.edge === edge.edge && Math.abs(c.timeS - timeS) < 1e-3,
  );
  const onKeyDown = (event: KeyboardEvent) => {
    if (goesToOther(event)) return;
    const direction = event.key === 'ArrowLeft' ? -1 : event.key === 'ArrowRight' ? 1 : 0;
    if (direction === 0) return;
    event.preventDefault();
    const times = session.timesS.peek();
    const frames = direction * (event.shiftKey ? 5 : 1);
    const to = within(edge, steppedTime(times, edge.timeS, frames));
    session.hand.setEdge(edge, to);
    session.showTime(to);
  };
  const y = LIMBS.indexOf(edge.limb) * ROW_PX + ROW_PX / 2;
  return (
    <g
      class={`edge ${isFar(edge.limb, pass) ? 'far' : 'near'}`}
      data-edge={edge.key}
      role="slider"
      tabindex={tabStop.key === edge.key ? 0 : -1}
      aria-label={`${LIMB_WORDS[edge.limb]} ${edge.edge === 'on' ? 'lands' : 'leaves the ground'}, ${edge.order}`}
      aria-valuemin={edge.minS}
      aria-valuemax={edge.maxS}
      aria-valuenow={timeS}
      aria-valuetext={formatTime(timeS) + (byHand ? ', set by hand' : '')}
      transform={`translate(${toX(timeS)} ${y})`}
      onFocus={() => {
        tabStop.take(edge.key);
        session.showTime(edge.timeS);
      }}
      onKeyDown={onKeyDown}
    >
      <rect class="target" x={-TOUCH_PX / 2} y={-TOUCH_PX / 2} width={TOUCH_PX} height={TOUCH_PX} />
      <rect class="grip" x={-2.5} y={-GRIP_PX / 2} width={5} height={GRIP_PX} rx={2.5} />
      {byHand && <circle class="hand-mark" cy={-GRIP_PX / 2 - 3} r={4} />}
    </g>
  );
}

/** Up and down go to the end of a bar before and after this one. */
function goesToOther(event: KeyboardEvent): boolean {
  const step = event.key === 'ArrowUp' ? -1 : event.key === 'ArrowDown' ? 1 : 0;
  const chart = event.currentTarget instanceof Element ? event.currentTarget.parentElement : null;
  if (step === 0 || !chart) return false;
  event.preventDefault();
  const edges = [...chart.querySelectorAll<SVGElement>('[data-edge]')];
  edges[edges.findIndex((edge) => edge === event.currentTarget) + step]?.focus();
  return true;
}
