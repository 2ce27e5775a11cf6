/** Cuts the raw bytes that ffmpeg writes into frames, gives each its time, and leaves out those that come too early. */

/** What a run is asked for; times in microseconds. */
export interface Wanted {
  /** Only frames later than this are given. Null: every frame. */
  readonly afterUs: number | null;
  readonly maxFrames: number;
}

/** Where frames go. */
export interface FrameOutlet {
  /** A buffer for the next frame; may block until there is one. Null where no more frames are wanted. */
  take(): Uint8Array | null;
  give(timeUs: number): void;
}

/** Frames whose time ffmpeg doesn't know follow the one before by its spacing. */
const FALLBACK_SPACING_US = 40_000;

export class FrameSink {
  private readonly timesUs: (number | null)[] = [];
  private buffer: Uint8Array | null = null;
  private filled = 0;
  private timeUs = 0;
  private skipping = false;
  private lastUs: number | null = null;
  /** Latest time of all frames so far. */
  private latestUs: number | null = null;
  private spacingUs = FALLBACK_SPACING_US;
  private given = 0;

  constructor(
    private readonly frameBytes: number,
    private readonly wanted: Wanted,
    private readonly outlet: FrameOutlet,
  ) {}

  /** Takes a line of the showinfo filter, which precedes its frame's bytes. */
  readLog(line: string): void {
    const found = /\[Parsed_showinfo.*\bn: *\d+ pts: *(-?\d+|NOPTS)/.exec(line)?.[1];
    if (found !== undefined) this.timesUs.push(found === 'NOPTS' ? null : Number(found));
  }

  /** Returns false once enough frames were given and the run may end. */
  write(bytes: Uint8Array): boolean {
    for (let from = 0; from < bytes.length;) {
      if (this.filled === 0 && !this.begin()) return false;
      const part = bytes.subarray(from, from + this.frameBytes - this.filled);
      if (!this.skipping) this.buffer?.set(part, this.filled);
      this.filled += part.length;
      from += part.length;
      if (this.filled === this.frameBytes) this.finish();
    }
    return this.given < this.wanted.maxFrames;
  }

  private begin(): boolean {
    const { afterUs, maxFrames } = this.wanted;
    if (this.given >= maxFrames) return false;
    this.timeUs = this.nextTimeUs();
    // A damaged or badly made file may tell times that go back: such frames have no place in the order.
    const back = this.latestUs !== null && this.timeUs <= this.latestUs;
    this.latestUs = back ? this.latestUs : this.timeUs;
    this.skipping = back || (afterUs !== null && this.timeUs <= afterUs);
    if (!this.skipping) this.buffer = this.outlet.take();
    return this.skipping || this.buffer !== null;
  }

  private finish(): void {
    this.filled = 0;
    if (this.skipping) return;
    this.outlet.give(this.timeUs);
    this.buffer = null;
    this.given++;
  }

  private nextTimeUs(): number {
    const told = this.timesUs.shift();
    if (told === undefined) throw new Error('ffmpeg wrote a frame without telling its time');
    const timeUs = told ?? (this.lastUs === null ? 0 : this.lastUs + this.spacingUs);
    if (this.lastUs !== null && timeUs > this.lastUs) this.spacingUs = timeUs - this.lastUs;
    this.lastUs = timeUs;
    return timeUs;
  }
}
