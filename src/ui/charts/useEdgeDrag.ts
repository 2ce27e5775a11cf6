import type { Signal } from '@preact/signals';
import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Session } from '../session.ts';
import type { Scale } from './scale.ts';

/** What lies at a moment and can be dragged to another one between these; `data-edge` of its element is the key. */
export interface Draggable {
  readonly key: string;
  readonly timeS: number;
  readonly minS: number;
  readonly maxS: number;
}

/** One on its way, not yet a correction. */
export interface MovingEdge {
  readonly key: string;
  readonly timeS: number;
}

export interface Place {
  readonly x: number;
  readonly y: number;
}

export interface DragChart<Edge extends Draggable> {
  readonly toX: Scale;
  /** What is in reach of a place, px of the chart; null where nothing is. */
  readonly near: (place: Place) => Edge | null;
  readonly drop: (edge: Edge, timeS: number) => void;
  /** A tap where nothing is in reach. */
  readonly tap: (timeS: number, place: Place) => void;
}

export const within = ({ minS, maxS }: Omit<Draggable, 'key' | 'timeS'>, timeS: number): number =>
  Math.min(Math.max(timeS, minS), maxS);

/** Dragging along a time axis; a tap beside shows that moment. The video follows the pointer. */
export function useEdgeDrag<Edge extends Draggable>(
  session: Session,
  chart: DragChart<Edge>,
  moving: Signal<MovingEdge | null>,
): RefObject<SVGSVGElement | null> {
  const ref = useRef<SVGSVGElement>(null);
  const now = useRef(chart);
  now.current = chart;
  useEffect(() => {
    const drawing = ref.current;
    return drawing ? listen(drawing, session, now, moving) : undefined;
  }, [session, moving]);
  return ref;
}

function listen<Edge extends Draggable>(
  chart: SVGSVGElement,
  session: Session,
  now: { readonly current: DragChart<Edge> },
  moving: Signal<MovingEdge | null>,
): () => void {
  let held: { edge: Edge; pointerId: number; offsetPx: number } | null = null;
  // A click follows every drag, wherever that ended; browsers move that of a finger to what they think was meant.
  let dragged = false;
  let down: Place | null = null;
  const placeOf = (event: { clientX: number; clientY: number }): Place => {
    const box = chart.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  const near = (event: { clientX: number; clientY: number }) => now.current.near(placeOf(event));
  const onDown = (event: PointerEvent) => {
    dragged = false;
    down = placeOf(event);
    const edge = event.button === 0 ? near(event) : null;
    if (!edge) return;
    event.preventDefault();
    session.playing.value = false;
    held = { edge, pointerId: event.pointerId, offsetPx: now.current.toX(edge.timeS) - placeOf(event).x };
    chart.setPointerCapture(event.pointerId);
    chart.querySelector<SVGElement>(`[data-edge="${edge.key}"]`)?.focus({ preventScroll: true });
  };
  const onMove = (event: PointerEvent) => {
    if (held?.pointerId !== event.pointerId) return;
    const timeS = within(held.edge, now.current.toX.invert(placeOf(event).x + held.offsetPx));
    if (!moving.peek() && Math.abs(timeS - held.edge.timeS) < 1e-3) return;
    moving.value = { key: held.edge.key, timeS };
    session.showTime(timeS);
  };
  const onUp = (event: PointerEvent) => {
    const moved = moving.peek();
    dragged = held !== null && moved !== null;
    if (held && moved && event.type === 'pointerup') now.current.drop(held.edge, moved.timeS);
    held = null;
    moving.value = null;
  };
  const onClick = (event: MouseEvent) => {
    const place = down ?? placeOf(event);
    if (!dragged && !now.current.near(place)) now.current.tap(now.current.toX.invert(place.x), place);
    dragged = false;
    down = null;
  };
  const onTouch = (event: TouchEvent) => {
    const touch = event.touches[0];
    if (touch && event.touches.length === 1 && near(touch)) event.preventDefault();
  };
  const pointers = { pointerdown: onDown, pointermove: onMove, pointerup: onUp, pointercancel: onUp };
  const types = ['pointerdown', 'pointermove', 'pointerup', 'pointercancel'] as const;
  for (const type of types) chart.addEventListener(type, pointers[type]);
  chart.addEventListener('click', onClick);
  chart.addEventListener('touchstart', onTouch, { passive: false });
  return () => {
    for (const type of types) chart.removeEventListener(type, pointers[type]);
    chart.removeEventListener('click', onClick);
    chart.removeEventListener('touchstart', onTouch);
  };
}
