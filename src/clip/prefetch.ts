/** Runs an iterator ahead of its reader, a few items and no more. */
export class Prefetch<T> {
  private readonly ready: T[] = [];
  private failure: { readonly error: unknown } | null = null;
  private ended = false;
  private stopped = false;
  private wake: (() => void)[] = [];
  private readonly running: Promise<void>;

  /**
   * @param capacity Most items that wait, the one being made included.
   * @param dropped Gets the items that wait when it is stopped.
   */
  constructor(
    private readonly items: AsyncGenerator<T, void>,
    private readonly capacity: number,
    private readonly dropped: (item: T) => void = () => undefined,
  ) {
    this.running = this.run();
  }

  /** The next item; null at the end. Throws what the iterator threw, after the items that came before it. */
  async next(): Promise<T | null> {
    for (;;) {
      const item = this.stopped ? undefined : this.ready.shift();
      if (item !== undefined) {
        this.changed();
        return item;
      }
      if (this.failure) throw this.failure.error;
      if (this.ended || this.stopped) return null;
      await this.change();
    }
  }

  /** Ends the iterator, which frees what it holds, and drops the items that wait. */
  async stop(): Promise<void> {
    this.stopped = true;
    this.changed();
    // Its source may be closed by now: that something could not be freed concerns no reader any more.
    await this.items.return().catch(() => undefined);
    await this.running;
    for (const item of this.ready.splice(0)) this.dropped(item);
  }

  private async run(): Promise<void> {
    try {
      while (!this.stopped) {
        if (this.ready.length >= this.capacity) {
          await this.change();
          continue;
        }
        const { done, value } = await this.items.next();
        if (done) break;
        this.ready.push(value);
        this.changed();
      }
    } catch (error) {
      this.failure = { error };
    }
    this.ended = true;
    this.changed();
  }

  private change(): Promise<void> {
    return new Promise((resolve) => this.wake.push(resolve));
  }

  private changed(): void {
    for (const resolve of this.wake.splice(0)) resolve();
  }
}
