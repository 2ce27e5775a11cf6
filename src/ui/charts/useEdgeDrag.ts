import type { Signal } from '@preact/signals';
import type { RefObject } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import type { Session } from '../session.ts';
import type { MovingEdge } from './Footfalls.tsx';
import { type DrawnEdge, edgeNear, within } from './footfallEdges.ts';
import type { Scale } from './scale.ts';

/** Dragging of the ends of bars; a tap beside them shows that moment. The video follows the pointer. */
export function useEdgeDrag(
  session: Session,
  edges: readonly DrawnEdge[],
  toX: Scale,
  moving: Signal<MovingEdge | null>,
): RefObject<SVGSVGElement | null> {
  const ref = useRef<SVGSVGElement>(null);
  const now = useRef({ edges, toX });
  now.current = { edges, toX };
  useEffect(() => {
    const chart = ref.current;
    return chart ? listen(chart, session, now, moving) : undefined;
  }, [session, moving]);
  return ref;
}

function listen(
  chart: SVGSVGElement,
  session: Session,
  now: { readonly current: { edges: readonly DrawnEdge[]; toX: Scale } },
  moving: Signal<MovingEdge | null>,
): () => void {
  let held: { edge: DrawnEdge; pointerId: number; offsetPx: number } | null = null;
  const placeOf = (event: { clientX: number; clientY: number }) => {
    const box = chart.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  };
  const near = (event: { clientX: number; clientY: number }) =>
    edgeNear(now.current.edges, now.current.toX, placeOf(event));
  const onDown = (event: PointerEvent) => {
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
    if (held && moved && event.type === 'pointerup') session.hand.setEdge(held.edge, moved.timeS);
    held = null;
    moving.value = null;
  };
  const onClick = (event: MouseEvent) => {
    if (!near(event)) session.showTime(now.current.toX.invert(placeOf(event).x));
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
