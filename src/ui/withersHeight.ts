import { type ReadonlySignal, type Signal, batch, computed, effect, signal } from '@preact/signals';

/**
 * Height at the withers of the horse in hand, m. A height belongs to one clip: the next clip starts without one, unless
 * one was typed in for it beforehand; the last one is only offered.
 */
export class WithersHeight {
  readonly #now: Signal<number | null> = signal(null);
  readonly inForceM: ReadonlySignal<number | null> = this.#now;
  /** Of the last real horse that had one; remembered between visits. */
  readonly lastM: Signal<number | null>;
  /** The user emptied the field: nothing is offered for this clip. */
  readonly #cleared = signal(false);
  /** What may be taken over by a tap; null where there is nothing to offer. */
  readonly offeredM: ReadonlySignal<number | null> = computed(() =>
    this.#now.value === null && !this.#cleared.value ? this.lastM.value : null,
  );
  /** Typed in for a clip that isn't read to its end yet. */
  #aheadM: number | null = null;
  /** The horse is a drawn one, whose height, as drawn or typed in, is none to offer for a real one. */
  readonly #isDrawn = signal(false);

  constructor(lastM: number | null) {
    this.lastM = signal(lastM);
    effect(() => {
      const heightM = this.#now.value;
      if (heightM !== null && !this.#isDrawn.value) this.lastM.value = heightM;
    });
  }

  /**
   * A clip is about to be read, or was left: only what was typed in for the next one stays. The horse of a drawn clip
   * has the height that it was drawn with, whatever was typed in before.
   */
  next(drawnM: number | null): void {
    if (drawnM !== null) this.#aheadM = null;
    batch(() => {
      this.#isDrawn.value = drawnM !== null;
      this.#now.value = drawnM ?? this.#aheadM;
      this.#cleared.value = false;
    });
  }

  /** The clip is left: what was typed in for it is not the next one's, which may show another horse. */
  leave(): void {
    this.#aheadM = null;
  }

  /** The same clip is read once more, with the height that it has. */
  again(heightM: number | null): void {
    this.#now.value = heightM;
  }

  /** Typed in by the user; `ahead`: before the clip was read to its end. */
  type(heightM: number | null, { ahead }: { readonly ahead: boolean }): void {
    this.#cleared.value = heightM === null && this.#now.peek() !== null;
    this.#now.value = heightM;
    if (ahead) this.#aheadM = heightM;
  }

  /** Kept with the clip at an earlier visit: counts unless one was typed in for it. True where that changes something. */
  useKept(heightM: number): boolean {
    if (this.#aheadM !== null || heightM === this.#now.peek()) return false;
    this.#now.value = heightM;
    return true;
  }

  /** The clip is read. True where its height was typed in for it and is to be kept with it. */
  settle(): boolean {
    const typed = this.#aheadM !== null;
    this.#aheadM = null;
    return typed;
  }
}
