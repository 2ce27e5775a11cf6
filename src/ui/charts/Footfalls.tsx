import { useSignal, useSignalEffect } from '@preact/signals';
import type { SidePass, Stance } from '../../gait/types.ts';
import { LIMBS, type Limb, limbSide } from '../../points.ts';
import { Mark } from '../Mark.tsx';
import { useSession } from '../context.ts';
import type { Session } from '../session.ts';
import { FAR_NOTE, LIMB_WORDS, isFar } from '../words.ts';
import { EdgeHandle } from './EdgeHandle.tsx';
import { ClipTime } from './ClipTime.tsx';
import { ChartFrame } from './Frame.tsx';
import { type DrawnEdge, ROW_PX, drawnSpan, edgeNear, edgesOf, stancesOf } from './footfallEdges.ts';
import { type Scale, linear } from './scale.ts';
import { type DragChart, type MovingEdge, useEdgeDrag } from './useEdgeDrag.ts';

const BAR_PX = 22;
const PAD_PX = 14;
/** Least width at which the ends of neighbouring bars can be told apart under a finger. */
const PX_PER_S = 55;

/** The end of a bar that the Tab key reaches. */
export interface TabStop {
  readonly key: string | null;
  readonly take: (key: string) => void;
}

export function Footfalls({ pass }: { pass: SidePass }) {
  const leastWidth = (pass.endS - pass.startS) * PX_PER_S + 2 * PAD_PX;
  return (
    <ChartFrame
      title="Footfalls"
      alternative={footfallsInWords(pass)}
      leastWidth={leastWidth}
      labels={<RowLabels pass={pass} />}
      note="A bar is the time that a hoof stands on the ground. Drag an end of a bar to put it right; tap anywhere to show that moment. Pale bars: far side, less certain, cut off by an end of the clip, or not seen to its end."
    >
      {(width) => <FootfallDrawing pass={pass} width={width} />}
    </ChartFrame>
  );
}

function RowLabels({ pass }: { pass: SidePass }) {
  return (
    <ul class="row-labels" aria-hidden="true" style={`--row: ${ROW_PX}px`}>
      {LIMBS.map((limb) => (
        <li key={limb} class={isFar(limb, pass) ? 'far' : 'near'}>
          <Mark side={limbSide(limb)} /> {LIMB_WORDS[limb]}
        </li>
      ))}
    </ul>
  );
}

function FootfallDrawing({ pass, width }: { pass: SidePass; width: number }) {
  const session = useSession();
  const moving = useSignal<MovingEdge | null>(null);
  const toX = linear([pass.startS, pass.endS], [PAD_PX, width - PAD_PX]);
  const edges = edgesOf(pass);
  const tabStop = useTabStop(edges);
  const rowsPx = ROW_PX * LIMBS.length;
  const ref = useEdgeDrag(session, footfallDrag(session, edges, toX), moving);
  useSignalEffect(() => {
    const frame = ref.current?.parentElement;
    if (!frame || moving.peek()) return;
    const x = toX(session.timeS.value);
    const { scrollLeft, clientWidth } = frame;
    const hidden = x < scrollLeft + PAD_PX || x > scrollLeft + clientWidth - PAD_PX;
    if (hidden) frame.scrollLeft = x - clientWidth / 3;
  });
  const timeOf = (key: string, timeS: number) => (moving.value?.key === key ? moving.value.timeS : timeS);
  return (
    <svg
      ref={ref}
      class="footfalls"
      width={width}
      height={rowsPx + 40}
      role="group"
      aria-label="Stance of the four hooves against time"
    >
      {LIMBS.map((limb, row) => (
        <g key={limb} transform={`translate(0 ${row * ROW_PX})`}>
          <path class="row-line" d={`M${PAD_PX} ${ROW_PX / 2}H${width - PAD_PX}`} />
          {stancesOf(pass, limb).map((stance, index) => (
            <Bar
              key={index}
              stance={stance}
              far={isFar(limb, pass)}
              fromX={toX(timeOf(`${limb} ${index} on`, drawnSpan(stance, pass).fromS))}
              toX={toX(timeOf(`${limb} ${index} off`, drawnSpan(stance, pass).toS))}
            />
          ))}
        </g>
      ))}
      {edges.map((edge) => (
        <EdgeHandle key={edge.key} edge={edge} pass={pass} toX={toX} moving={moving} tabStop={tabStop} />
      ))}
      <ClipTime toX={toX} pass={pass} topPx={0} at={rowsPx} widthPx={width} />
    </svg>
  );
}

const footfallDrag = (session: Session, edges: readonly DrawnEdge[], toX: Scale): DragChart<DrawnEdge> => ({
  toX,
  near: (place) => edgeNear(edges, toX, place),
  drop: (edge, timeS) => session.hand.setEdge(edge, timeS),
  tap: (timeS) => session.showTime(timeS),
});

/** All ends of bars are one stop of the Tab key: the one that had the focus last, else the first. */
function useTabStop(edges: readonly DrawnEdge[]): TabStop {
  const focused = useSignal<string | null>(null);
  const key = edges.find((edge) => edge.key === focused.value)?.key ?? edges[0]?.key ?? null;
  return { key, take: (taken) => (focused.value = taken) };
}

interface BarProps {
  stance: Stance;
  far: boolean;
  fromX: number;
  toX: number;
}

function Bar({ stance, far, fromX, toX }: BarProps) {
  const y = (ROW_PX - BAR_PX) / 2;
  const open = [stance.onS === null && 'open-start', stance.offS === null && 'open-end']
    .filter(Boolean)
    .join(' ');
  return (
    <rect
      class={`bar ${limbSide(stance.limb)} ${far ? 'far' : 'near'} ${open}`}
      x={Math.min(fromX, toX)}
      y={y}
      width={Math.max(Math.abs(toX - fromX), 1)}
      height={BAR_PX}
      rx={3}
    />
  );
}

function footfallsInWords(pass: SidePass): string {
  const inWords = (limb: Limb) => {
    const landings = stancesOf(pass, limb).flatMap(({ onS }) =>
      onS === null ? [] : [`${onS.toFixed(2)} s`],
    );
    const note = isFar(limb, pass) ? ` (${FAR_NOTE})` : '';
    return `${LIMB_WORDS[limb]}${note} lands at ${landings.join(', ') || 'no time seen'}`;
  };
  return `Bars of the time each hoof stands: ${LIMBS.map(inWords).join('; ')}.`;
}
