import { type ReadonlySignal, type Signal, batch, computed, signal } from '@preact/signals';
import type { GroundDistance } from '../gait/types.ts';
import type { Correction } from '../horse/edits.ts';
import { newId } from '../horse/ids.ts';
import { HOOF, LIMBS } from '../points.ts';
import { nearestIndex } from '../track/times.ts';
import { toPicture, toStillFrame } from '../track/turning.ts';
import type { Track } from '../track/types.ts';
import { type ShownPoints, type Size, type XY, pointsOfTrack } from './player/geometry.ts';
import type { Session } from './session.ts';

export type MarkName = 'from' | 'to';
export const MARK_NAMES = ['from', 'to'] as const;

/** Where the two marks lie, picture px. */
export type MarkPlaces = Readonly<Record<MarkName, XY>>;

/** Marks being placed; px of the frame at timeS. */
export interface Draft extends MarkPlaces {
  readonly timeS: number;
  /** null until it is typed in. */
  readonly distanceM: number | null;
  /** The marks that stand where they should: moved there by hand, or said to. */
  readonly standing: readonly MarkName[];
}

export const SHORTEST_M = 0.2;
export const LONGEST_M = 100;
export const isDistance = (m: number | null): m is number => m !== null && m >= SHORTEST_M && m <= LONGEST_M;

export const bothStand = ({ standing }: Draft): boolean =>
  MARK_NAMES.every((name) => standing.includes(name));

/** Two marks on the ground whose distance is known: placed first, a correction once they are used. */
export class GroundMarks {
  readonly draft: Signal<Draft | null> = signal(null);
  /** The mark that is being moved. */
  readonly held: Signal<MarkName | null> = signal(null);
  readonly open = computed(() => this.draft.value !== null);
  /** The distance in force. */
  readonly known: ReadonlySignal<GroundDistance | null>;
  readonly #use: (known: GroundDistance) => void;

  constructor(corrections: ReadonlySignal<readonly Correction[]>, use: (known: GroundDistance) => void) {
    this.known = computed(() => corrections.value.findLast((c) => c.kind === 'distance') ?? null);
    this.#use = use;
  }

  close(): void {
    batch(() => (this.draft.value = this.held.value = null));
  }

  setDistance(distanceM: number | null): void {
    const draft = this.draft.peek();
    if (draft) this.draft.value = { ...draft, distanceM };
  }

  /** The user says that both marks stand where they should, or takes that back. */
  setStanding(all: boolean): void {
    const draft = this.draft.peek();
    if (draft) this.draft.value = { ...draft, standing: all ? MARK_NAMES : [] };
  }

  /** Makes a correction of the marks; false where the distance is none, or a mark was never set. */
  use(): boolean {
    const draft = this.draft.peek();
    if (!draft || !isDistance(draft.distanceM) || !bothStand(draft)) return false;
    const { timeS, from, to, distanceM } = draft;
    this.close();
    this.#use({ kind: 'distance', id: newId(), timeS, from, to, distanceM });
    return true;
  }
}

/** Begins to place marks: those in force in their own frame, else two beside the hooves of the frame shown. */
export function placeMarks(session: Session): void {
  const [clip, track] = [session.clip.peek(), session.track.peek()];
  const { draft, known } = session.groundMarks;
  if (!clip || !track) return;
  session.hand.settle();
  session.playing.value = false;
  session.hand.point.value = null;
  const before = known.peek();
  session.showTime(before?.timeS ?? session.timeS.peek());
  const size = { width: clip.widthPx, height: clip.heightPx };
  draft.value = before
    ? { ...before, standing: MARK_NAMES }
    : {
        ...firstPlaces(pointsOfTrack(track, session.frame.peek()), size),
        timeS: session.timeS.peek(),
        distanceM: null,
        standing: [],
      };
}

/** On either side of the hooves and a little nearer to the camera, inside the picture. */
export function firstPlaces(points: ShownPoints, { width, height }: Size): MarkPlaces {
  const hooves = LIMBS.flatMap((limb) => points.get(HOOF[limb]) ?? []);
  const [xs, ys] = [hooves.map(({ x }) => x), hooves.map(({ y }) => y)];
  const [left, right] = hooves.length > 0 ? [Math.min(...xs), Math.max(...xs)] : [0.3 * width, 0.7 * width];
  const ground = hooves.length > 0 ? Math.max(...ys) : 0.8 * height;
  const y = Math.round(Math.min(ground + 0.05 * height, 0.95 * height));
  return {
    from: { x: Math.round(Math.max(left - 0.08 * width, 0.04 * width)), y },
    to: { x: Math.round(Math.min(right + 0.08 * width, 0.96 * width)), y },
  };
}

/** Marks on the ground as another frame sees them, wherever the camera turned in between. */
export function marksIn(
  track: Track,
  { timeS, from, to }: Omit<Draft, 'distanceM' | 'standing'>,
  frame: number,
): MarkPlaces {
  const own = nearestIndex(track.timesS, timeS);
  const [toStill, shown] = [track.toStill[own], track.toStill[frame]];
  if (own === frame || !toStill || !shown) return { from, to };
  const carried = (p: XY): XY => toPicture(track.lens, shown, toStillFrame(track.lens, toStill, p));
  return { from: carried(from), to: carried(to) };
}

/** The marks in the frame that is shown: those being placed, else those in force. */
export function marksShown(session: Session): MarkPlaces | null {
  const { draft, known } = session.groundMarks;
  const [marks, track] = [draft.value ?? known.value, session.track.value];
  return marks && track ? marksIn(track, marks, session.drawnFrame.value) : null;
}

/** Moves a mark in the frame that is shown, never out of the picture. */
export function moveMark(session: Session, name: MarkName, { x, y }: XY): void {
  const { draft } = session.groundMarks;
  const [before, places, clip] = [draft.peek(), marksShown(session), session.clip.peek()];
  if (!before || !places || !clip || !session.canMove()) return;
  const inside = {
    x: Math.min(Math.max(x, 0), clip.widthPx - 1),
    y: Math.min(Math.max(y, 0), clip.heightPx - 1),
  };
  const standing = MARK_NAMES.filter((mark) => mark === name || before.standing.includes(mark));
  draft.value = { ...before, ...places, timeS: session.drawnTimeS.peek(), [name]: inside, standing };
}
