import { type ReadonlySignal, type Signal, batch, computed, signal } from '@preact/signals';
import { type Correction, type Edit, type Edited, applyEdits, redo, undo } from '../horse/edits.ts';
import { newId } from '../horse/ids.ts';
import type { Limb, PointName } from '../points.ts';
import type { PointCorrection } from '../track/types.ts';

/** A point on its way: dragged or nudged, not yet a correction. Picture px. */
export interface MovingPoint {
  readonly point: PointName;
  /** Frame that it was taken in. */
  readonly timeS: number;
  readonly x: number;
  readonly y: number;
}

/** Nudges that follow each other faster than this become one correction. */
const SETTLE_MS = 500;

export interface Edge {
  readonly limb: Limb;
  readonly edge: 'on' | 'off';
  readonly timeS: number;
}

/** What the user sets by hand in one clip: points and edges of stances, with undo and redo. */
export class HandEdits {
  /** All that was ever done by hand to this clip, oldest first. */
  readonly edits: Signal<readonly Edit[]> = signal([]);
  readonly edited: ReadonlySignal<Edited> = computed(() => applyEdits(this.edits.value));
  readonly corrections = computed(() => this.edited.value.corrections);
  /** The point in hand; null for none. */
  readonly point: Signal<PointName | null> = signal(null);
  readonly moving: Signal<MovingPoint | null> = signal(null);
  /** Points set by hand in the frame that is shown. */
  readonly handPoints: ReadonlySignal<ReadonlyMap<PointName, PointCorrection>>;

  readonly #onEdit: (edit: Edit, notice: string) => void;
  #settling: ReturnType<typeof setTimeout> | undefined;

  /** timeS: time of the frame whose points are drawn. onEdit hears of every edit after it counts, with what to say of it. */
  constructor(timeS: ReadonlySignal<number>, onEdit: (edit: Edit, notice: string) => void) {
    this.#onEdit = onEdit;
    this.handPoints = computed(() => pointsSetAt(this.corrections.value, timeS.value));
  }

  /** Begins with what was done before; nothing on its way. */
  begin(edits: readonly Edit[]): void {
    clearTimeout(this.#settling);
    batch(() => {
      this.edits.value = edits;
      this.point.value = this.moving.value = null;
    });
  }

  /** Moves a point a little; it becomes a correction when no other nudge follows. */
  nudge(moved: MovingPoint): void {
    const before = this.moving.peek();
    if (before && (before.point !== moved.point || before.timeS !== moved.timeS)) this.settle();
    this.point.value = moved.point;
    this.moving.value = moved;
    clearTimeout(this.#settling);
    this.#settling = setTimeout(() => this.settle(), SETTLE_MS);
  }

  /** Makes a correction of the point on its way. */
  settle(): void {
    clearTimeout(this.#settling);
    const moved = this.moving.peek();
    this.moving.value = null;
    if (!moved) return;
    const correction: Correction = { kind: 'point', id: newId(), ...moved };
    this.set(correction, 'Point moved.');
  }

  /** Takes one correction back, so that what was found counts again. */
  clear({ id }: Correction): void {
    this.#edit({ do: 'remove', id }, 'Put back to what was found.');
  }

  /** Moves an edge of a stance; an edge moved before keeps the time at which it was first found. */
  setEdge({ limb, edge, timeS }: Edge, newTimeS: number): void {
    const before = this.corrections
      .peek()
      .find(
        (c) => c.kind === 'event' && c.limb === limb && c.edge === edge && Math.abs(c.timeS - timeS) < 1e-3,
      );
    const foundS = before?.kind === 'event' ? before.foundS : timeS;
    const correction: Correction = {
      kind: 'event',
      id: newId(),
      limb,
      edge,
      foundS,
      timeS: newTimeS,
    };
    this.set(correction, 'Landing or lift-off moved.');
  }

  undo(): void {
    this.settle();
    const edit = undo(this.edits.peek());
    if (edit) this.#edit(edit, 'Undone.');
  }

  redo(): void {
    this.settle();
    const edit = redo(this.edits.peek());
    if (edit) this.#edit(edit, 'Done again.');
  }

  /** Lets a correction count; one with the same id is replaced. */
  set(correction: Correction, notice: string): void {
    this.#edit({ do: 'set', correction }, notice);
  }

  #edit(edit: Edit, notice: string): void {
    this.edits.value = [...this.edits.peek(), edit];
    this.#onEdit(edit, notice);
  }
}

function pointsSetAt(
  corrections: readonly Correction[],
  timeS: number,
): ReadonlyMap<PointName, PointCorrection> {
  const set = corrections.filter((c) => c.kind === 'point').filter((c) => Math.abs(c.timeS - timeS) < 1e-6);
  return new Map(set.map((c) => [c.point, c]));
}
