import type { Signal } from '@preact/signals';
import type { PointName } from '../../points.ts';
import { type MarkName, marksShown, moveMark } from '../groundMarks.ts';
import type { Session } from '../session.ts';
import { type XY, pointNear } from './geometry.ts';
import type { Picture } from './Player.tsx';

/** A tap that shakes by less than this moves nothing. */
const SLACK_PX = 2;
const REACH_PX = { mouse: 14, touch: 30 } as const;

/** One kind of thing that can be taken hold of on the stage. Picture px. */
interface Grip<Name extends string> {
  readonly places: () => ReadonlyMap<Name, XY>;
  readonly select: (name: Name | null) => void;
  readonly move: (name: Name, to: XY) => void;
  readonly drop: () => void;
  /** The pointer was taken away in mid-move. */
  readonly giveBack: (name: Name, from: XY) => void;
}

function pointGrip(session: Session, picture: Signal<Picture | null>): Grip<PointName> {
  // Of the frame in which the point was taken: another one may be shown before it is let go.
  let timeS = 0;
  return {
    places: () => picture.peek()?.points ?? new Map<PointName, XY>(),
    select: (name) => {
      timeS = session.drawnTimeS.peek();
      session.hand.point.value = name;
    },
    move: (point, { x, y }) => (session.hand.moving.value = { point, timeS, x, y }),
    drop: () => session.hand.settle(),
    giveBack: () => (session.hand.moving.value = null),
  };
}

function markGrip(session: Session): Grip<MarkName> {
  return {
    places: () => new Map(Object.entries(marksShown(session) ?? {}) as [MarkName, XY][]),
    select: (name) => (session.groundMarks.held.value = name),
    move: (name, to) => moveMark(session, name, to),
    drop: () => undefined,
    giveBack: (name, from) => moveMark(session, name, from),
  };
}

/** A thing that is held: where the pointer took it and how to move it. */
interface Held {
  readonly pointerId: number;
  readonly start: XY;
  readonly move: (dx: number, dy: number) => void;
  readonly drop: () => void;
  readonly giveBack: () => void;
  moved: boolean;
}

/**
 * Lets points, or the marks of a known distance while they are placed, be taken hold of on the stage by mouse, pen or
 * finger. They move by as much as the pointer does and never jump under the finger; the page scrolls as usual where
 * none is near. Returns the function that ends it.
 */
export function grabPoints(
  stage: HTMLElement,
  session: Session,
  picture: Signal<Picture | null>,
): () => void {
  const [points, marks] = [pointGrip(session, picture), markGrip(session)];
  const near = <Name extends string>(grip: Grip<Name>, place: XY, pointerType: string): Name | null => {
    const now = picture.peek();
    const reachPx = REACH_PX[pointerType === 'touch' ? 'touch' : 'mouse'];
    const choosing = session.horseChoice.state.peek() !== 'closed';
    return now && session.track.peek() && !session.playing.peek() && !choosing
      ? pointNear(grip.places(), now.mapping, place, reachPx)
      : null;
  };
  const take = <Name extends string>(grip: Grip<Name>, event: PointerEvent): Held | null => {
    const start = placeOn(stage, event);
    const name = near(grip, start, event.pointerType);
    if (name && !session.canMove()) return null;
    grip.select(name);
    const from = name && grip.places().get(name);
    if (!name || !from) return null;
    focusHandle(stage, name);
    return {
      pointerId: event.pointerId,
      start,
      move: (dx, dy) => grip.move(name, { x: from.x + dx, y: from.y + dy }),
      drop: () => grip.drop(),
      giveBack: () => grip.giveBack(name, from),
      moved: false,
    };
  };
  const isNear = (place: XY): boolean =>
    (session.groundMarks.open.peek() ? near(marks, place, 'touch') : near(points, place, 'touch')) !== null;
  return listen(
    stage,
    pointerActions(stage, session, picture, (event) =>
      session.groundMarks.open.peek() ? take(marks, event) : take(points, event),
    ),
    isNear,
  );
}

type PointerActions = Record<'onDown' | 'onMove' | 'onUp', (event: PointerEvent) => void>;

function listen(
  stage: HTMLElement,
  { onDown, onMove, onUp }: PointerActions,
  isNear: (place: XY) => boolean,
): () => void {
  const onTouch = (event: TouchEvent) => {
    const touch = event.touches[0];
    if (touch && event.touches.length === 1 && isNear(placeOn(stage, touch))) event.preventDefault();
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
  take: (event: PointerEvent) => Held | null,
): PointerActions {
  let held: Held | null = null;
  const onDown = (event: PointerEvent) => {
    if (event.button !== 0) return;
    session.hand.settle();
    const taken = take(event);
    if (!taken) return;
    event.preventDefault();
    held = taken;
    stage.setPointerCapture(event.pointerId);
  };
  const onMove = (event: PointerEvent) => {
    const now = picture.peek();
    if (held?.pointerId !== event.pointerId || !now) return;
    const place = placeOn(stage, event);
    const [dx, dy] = [place.x - held.start.x, place.y - held.start.y];
    if (!held.moved && Math.hypot(dx, dy) < SLACK_PX) return;
    held.moved = true;
    held.move(dx / now.mapping.scale, dy / now.mapping.scale);
  };
  const onUp = (event: PointerEvent) => {
    if (held?.pointerId !== event.pointerId) return;
    if (event.type === 'pointerup') held.drop();
    else if (held.moved) held.giveBack();
    held = null;
  };
  return { onDown, onMove, onUp };
}

function placeOn(stage: HTMLElement, event: { clientX: number; clientY: number }): XY {
  const box = stage.getBoundingClientRect();
  return { x: event.clientX - box.left, y: event.clientY - box.top };
}

/** Puts the keyboard on a point or a mark. */
export function focusHandle(stage: ParentNode, name: string): void {
  stage
    .querySelector<HTMLElement>(`[data-point="${name}"], [data-mark="${name}"]`)
    ?.focus({ preventScroll: true });
}
