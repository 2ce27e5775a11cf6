/** A few frame buffers shared by the decoding worker, which blocks while none is free, and its reader. */

export interface Slots {
  readonly frames: SharedArrayBuffer;
  /** Two Int32: how many slots are free, and whether the reader has gone. */
  readonly state: SharedArrayBuffer;
  readonly count: number;
  readonly frameBytes: number;
}

const FREE = 0;
const GONE = 1;

export function createSlots(count: number, frameBytes: number): Slots {
  const state = new SharedArrayBuffer(8);
  new Int32Array(state)[FREE] = count;
  return { frames: new SharedArrayBuffer(count * frameBytes), state, count, frameBytes };
}

/** Blocks until a slot is free and takes it; false once the reader has gone. Only in a worker. */
export function takeSlot(slots: Slots): boolean {
  const state = new Int32Array(slots.state);
  while (Atomics.load(state, FREE) === 0) Atomics.wait(state, FREE, 0);
  Atomics.sub(state, FREE, 1);
  return Atomics.load(state, GONE) === 0;
}

export function freeSlot(slots: Slots): void {
  const state = new Int32Array(slots.state);
  Atomics.add(state, FREE, 1);
  Atomics.notify(state, FREE);
}

/** The reader goes: whoever waits for a slot is woken and told. */
export function leave(slots: Slots): void {
  Atomics.store(new Int32Array(slots.state), GONE, 1);
  freeSlot(slots);
}

/** The bytes of the n-th frame since the start, not copied. */
export const slotOf = (slots: Slots, n: number): Uint8Array =>
  new Uint8Array(slots.frames, (n % slots.count) * slots.frameBytes, slots.frameBytes);
