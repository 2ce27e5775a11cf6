import type { ComponentChildren } from 'preact';
import { type Signal, useSignal } from '@preact/signals';
import { useLayoutEffect, useRef } from 'preact/hooks';
import { useSize } from '../useSize.ts';
import { formatNumber } from '../format.ts';
import { type Scale, tickDecimals, ticks } from './scale.ts';

interface ChartFrameProps {
  title: string;
  /** One or two sentences that say in words what the picture shows. */
  alternative: string;
  /** Least width of the drawing, px; it scrolls in its own frame where the page is narrower. */
  leastWidth: number;
  note?: ComponentChildren;
  /** Where the pass starts in the drawing: shown first where not all of it fits. */
  startsAt?: 'left' | 'right';
  /** Stays in place while the drawing scrolls. */
  labels?: ComponentChildren;
  children: (width: number) => ComponentChildren;
}

/** Title, drawing as wide as there is room for, and what is to be said beside it. */
export function ChartFrame({
  title,
  alternative,
  leastWidth,
  note,
  startsAt = 'left',
  labels,
  children,
}: ChartFrameProps) {
  const ref = useRef<HTMLDivElement>(null);
  const { width } = useSize(ref).value;
  const scrolls = width > 0 && leastWidth > width;
  const hidden = useHiddenEnds(ref, scrolls, startsAt);
  return (
    <section class="chart" aria-label={title}>
      <h2>{title}</h2>
      <p class="unseen">{alternative}</p>
      <div class="chart-row">
        {labels}
        <div class="chart-scroll" ref={ref} data-hidden={hidden.value}>
          {width > 0 && children(Math.max(width, leastWidth))}
        </div>
      </div>
      {scrolls && <p class="note swipe">Swipe sideways for the rest.</p>}
      {note !== undefined && <p class="note">{note}</p>}
    </section>
  );
}

/** Which ends of the drawing are out of sight; where some are, the start of the pass is shown first. */
function useHiddenEnds(
  ref: { readonly current: HTMLDivElement | null },
  scrolls: boolean,
  startsAt: 'left' | 'right',
): Signal<'none' | 'left' | 'right' | 'both'> {
  const hidden = useSignal<'none' | 'left' | 'right' | 'both'>('none');
  useLayoutEffect(() => {
    const frame = ref.current;
    if (!frame || !scrolls) {
      hidden.value = 'none';
      return undefined;
    }
    const look = () => {
      const left = frame.scrollLeft > 2;
      const right = frame.scrollLeft + frame.clientWidth < frame.scrollWidth - 2;
      hidden.value = left && right ? 'both' : left ? 'left' : right ? 'right' : 'none';
    };
    frame.scrollLeft = startsAt === 'right' ? frame.scrollWidth : 0;
    look();
    frame.addEventListener('scroll', look, { passive: true });
    return () => frame.removeEventListener('scroll', look);
  }, [ref, scrolls, startsAt, hidden]);
  return hidden;
}

interface AxisProps {
  scale: Scale;
  range: readonly [number, number];
  /** Where the axis runs: y of a level axis, x of an upright one. */
  at: number;
  label: string;
  /** Shown number = number of the scale x factor; null: no numbers are shown. */
  factor?: number | null;
  most: number;
}

function marksOf({ range, factor = 1, most }: Pick<AxisProps, 'range' | 'factor' | 'most'>) {
  const values = factor === null ? [] : ticks(range[0] * factor, range[1] * factor, most);
  const decimals = tickDecimals(values);
  return values.map((value) => ({ at: value / (factor ?? 1), words: formatNumber(value, decimals) }));
}

/** A level axis beneath the drawing; its unit stands in the label beneath. */
export function LevelAxis({ scale, range, at, label, ...marks }: AxisProps) {
  const start = Math.min(scale(range[0]), scale(range[1]));
  return (
    <g class="axis" aria-hidden="true">
      <path d={`M${scale(range[0])} ${at}H${scale(range[1])}`} />
      {marksOf({ range, ...marks }).map((mark) => (
        <g key={mark.at} transform={`translate(${scale(mark.at)} ${at})`}>
          <path d="M0 0v5" />
          <text y="18" text-anchor="middle">
            {mark.words}
          </text>
        </g>
      ))}
      <text x={start} y={at + 34}>
        {label}
      </text>
    </g>
  );
}

/** An upright axis at the left of the drawing, its lines running across to `across`. */
export function UprightAxis({ scale, range, at, label, across, ...marks }: AxisProps & { across: number }) {
  return (
    <g class="axis" aria-hidden="true">
      {marksOf({ range, ...marks }).map((mark) => (
        <g key={mark.at} transform={`translate(${at} ${scale(mark.at)})`}>
          <path class="gridline" d={`M0 0H${across - at}`} />
          <text x="-6" y="4" text-anchor="end">
            {mark.words}
          </text>
        </g>
      ))}
      <text x={4} y={12}>
        {label}
      </text>
    </g>
  );
}
