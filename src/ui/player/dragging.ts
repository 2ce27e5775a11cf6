import type { Signal } from '@preact/signals';
import type { PointName } from '../../points.ts';
import type { Session } from '../session.ts';
import { type XY, pointNear } from './geometry.ts';
import type { Picture } from './Player.tsx';

/** A tap that shakes by less than this moves nothing. */
const SLACK_PX = 2;
const REACH_PX = { mouse: 14, touch: 30 } as const;

/**
 * Lets points be taken hold of on the stage by mouse, pen or finger. A point moves by as much as the pointer
 * does and never jumps under the finger; the page scrolls as usual where no point is near. Returns the
 * function that ends it.
 */
export function grabPoints(
  stage: HTMLElement,
  session: Session,
  picture: Signal<Picture | null>,
): () => void {
  const nearest = (place: XY, pointerType: string) => {
    const now = picture.peek();
    const reachPx = REACH_PX[pointerType === 'touch' ? 'touch' : 'mouse'];
    const choosing = session.horseChoice.state.peek() !== 'closed';
    return now && session.track.peek() && !session.playing.peek() && !choosing
      ? pointNear(now.points, now.mapping, place, reachPx)
      : null;
  };
  const { onDown, onMove, onUp } = pointerActions(stage, session, picture, nearest);
  const onTouch = (event: TouchEvent) => {
    const touch = event.touches[0];
    if (touch && event.touches.length === 1 && nearest(placeOn(stage, touch), 'touch'))
      event.preventDefault();
  };
  stage.addEventListener('pointerdown', onDown);
  stage.addEventListener('pointermove', onMove);
  stage.addEventListener('pointerup', onUp);
  stage.addEventListener('pointercancel', onUp);
  stage.addEventListener('touchstart', onTouch, { passive: false });
  return () => {
    stage.removeEventListener('pointerdown', onDown);
    stage.removeEventListener('pointermove', onMove);
    stage.removeEventListener('pointerup', onUp);
    stage.removeEventListener('pointercancel', onUp);
    stage.removeEventListener('touchstart', onTouch);
  };
}

function pointerActions(
  stage: HTMLElement,
  session: Session,
  picture: Signal<Picture | null>,
  nearest: (place: XY, pointerType: string) => PointName | null,
) {
  let held: { pointerId: number; start: XY; from: XY } | null = null;
  const onDown = (event: PointerEvent) => {
    if (event.button !== 0) return;
    session.settle();
    const place = placeOn(stage, event);
    const point = nearest(place, event.pointerType);
    session.point.value = point;
    const from = point && picture.peek()?.points.get(point);
    if (!point || !from) return;
    event.preventDefault();
    held = { pointerId: event.pointerId, start: place, from };
    stage.setPointerCapture(event.pointerId);
    focusHandle(stage, point);
  };
  const onMove = (event: PointerEvent) => {
    const point = session.point.peek();
    const now = picture.peek();
    if (held?.pointerId !== event.pointerId || !point || !now) return;
    const place = placeOn(stage, event);
    const [dx, dy] = [place.x - held.start.x, place.y - held.start.y];
    if (!session.moving.peek() && Math.hypot(dx, dy) < SLACK_PX) return;
    const { scale } = now.mapping;
    const timeS = session.timeS.peek();
    session.moving.value = { point, timeS, x: held.from.x + dx / scale, y: held.from.y + dy / scale };
  };
  const onUp = (event: PointerEvent) => {
    if (held?.pointerId !== event.pointerId) return;
    held = null;
    if (event.type === 'pointerup') session.settle();
    else session.moving.value = null;
  };
  return { onDown, onMove, onUp };
}

function placeOn(stage: HTMLElement, event: { clientX: number; clientY: number }): XY {
  const box = stage.getBoundingClientRect();
  return { x: event.clientX - box.left, y: event.clientY - box.top };
}

function focusHandle(stage: HTMLElement, point: string): void {
  stage.querySelector<HTMLElement>(`[data-point="${point}"]`)?.focus({ preventScroll: true });
}
