import { type ReadonlySignal, type Signal, computed, signal } from '@preact/signals';
import type { CoursePass } from '../../gait/index.ts';
import type { ClipPass, PassKind } from '../../gait/passKinds.ts';
import type { Correction } from '../../horse/edits.ts';
import { newId } from '../../horse/ids.ts';
import type { MovingEdge } from '../charts/useEdgeDrag.ts';
import type { HandEdits } from '../handEdits.ts';
import type { ShownClip } from '../shownClip.ts';
import { type Doubt, doubtsOf } from './doubts.ts';
import { KIND_WORDS } from './kinds.ts';
import {
  type Border,
  type Part,
  bordersOf,
  canSplit,
  partAt,
  partsOf,
  withBorder,
  withKind,
  withSplit,
} from './parts.ts';

const asClipPass = (one: CoursePass): ClipPass => {
  const { kind, startS, endS } = one;
  return kind === 'side' ? { kind, startS, endS, direction: one.direction } : { kind, startS, endS };
};

type Shown = Pick<ShownClip, 'course' | 'timesS' | 'passIndex' | 'timeS'>;

/** What the user sets by hand of the passes of a clip: where they begin and end, and of which kind they are. */
export class CourseEdits {
  readonly parts: ReadonlySignal<readonly Part[]>;
  readonly borders: ReadonlySignal<readonly Border[]>;
  /** The part of the pass that is chosen; where none is, what lies at the moment that is shown. */
  readonly part: ReadonlySignal<Part | null>;
  readonly moving: Signal<MovingEdge | null> = signal(null);
  /** The border that was taken hold of last; null for none. */
  readonly held: Signal<string | null> = signal(null);
  /** Passes that are set to a kind which they do not look like. */
  readonly doubts: ReadonlySignal<readonly Doubt[]>;
  /** The passes as they were found before any was set by hand; null where that isn't known yet. */
  readonly #found: Signal<readonly ClipPass[] | null> = signal(null);
  readonly #passes: ReadonlySignal<readonly ClipPass[]>;
  readonly #shown: Shown;
  readonly #hand: Pick<HandEdits, 'set'>;

  constructor(shown: Shown, hand: Pick<HandEdits, 'set'>) {
    this.#shown = shown;
    this.#hand = hand;
    this.#passes = computed(() => shown.course.value.map(asClipPass));
    this.parts = computed(() => partsOf(this.#passes.value, shown.timesS.value));
    this.doubts = computed(() => doubtsOf(this.#passes.value, this.#found.value ?? []));
    this.borders = computed(() => bordersOf(this.parts.value));
    this.part = computed(() => {
      const own = this.parts.value.find(({ index }) => index === shown.passIndex.value);
      return own ?? partAt(this.parts.value, shown.timeS.value);
    });
  }

  /** Parts with the border on its way where it is. */
  drawn(): readonly Part[] {
    const moving = this.moving.value;
    const border = this.borders.value.find(({ key }) => key === moving?.key);
    const timesS = this.#shown.timesS.value;
    return moving && border
      ? partsOf(withBorder(this.#passes.value, border, moving.timeS, timesS), timesS)
      : this.parts.value;
  }

  moveBorder(border: Border, timeS: number): void {
    this.#set(withBorder(this.#passes.peek(), border, timeS, this.#shown.timesS.peek()), 'Border moved.');
  }

  /** Null: the part is no pass. */
  setKind(part: Part, kind: PassKind | null): void {
    if (part.kind === kind) return;
    const spans = withKind(this.#passes.peek(), part, kind, this.#shown.timesS.peek());
    this.#set(spans, `This part is now ${kind ? `“${KIND_WORDS[kind].name}”` : 'no pass'}.`);
  }

  /** Makes two passes of one, from the moment shown on. */
  split(part: Part): void {
    const timeS = this.#shown.timeS.peek();
    if (!canSplit(part, timeS)) return;
    const spans = withSplit(this.#passes.peek(), part, timeS, this.#shown.timesS.peek());
    this.#set(spans, 'Split in two.');
  }

  /** `course`: as it is with the corrections in force; `without`: as it is with these alone, asked for only where that is needed. */
  keepFound(
    corrections: readonly Correction[],
    course: readonly CoursePass[],
    without: (corrections: readonly Correction[]) => readonly CoursePass[],
  ): void {
    const others = corrections.filter(({ kind }) => kind !== 'passes');
    if (others.length === corrections.length) this.#found.value = course.map(asClipPass);
    else this.#found.value ??= without(others).map(asClipPass);
  }

  /** Of another clip. */
  forget(): void {
    this.moving.value = this.held.value = this.#found.value = null;
  }

  #set(spans: readonly ClipPass[], notice: string): void {
    this.#hand.set({ kind: 'passes', id: newId(), timeS: this.#shown.timeS.peek(), spans }, notice);
  }
}
