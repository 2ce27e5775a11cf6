/** A few frame buffers shared by the decoding worker, which blocks while none is free, and its reader. */

export interface Slots {
  readonly frames: SharedArrayBuffer;
  /** One Int32: how many slots are free. */
  readonly free: SharedArrayBuffer;
  readonly count: number;
  readonly frameBytes: number;
}

export function createSlots(count: number, frameBytes: number): Slots {
  const free = new SharedArrayBuffer(4);
  new Int32Array(free)[0] = count;
  return { frames: new SharedArrayBuffer(count * frameBytes), free, count, frameBytes };
}

/** Blocks until a slot is free and takes it; only in a worker. Slots go round in order. */
export function takeSlot(slots: Slots): void {
  const free = new Int32Array(slots.free);
  while (Atomics.load(free, 0) === 0) Atomics.wait(free, 0, 0);
  Atomics.sub(free, 0, 1);
}

export function freeSlot(slots: Slots): void {
  const free = new Int32Array(slots.free);
  Atomics.add(free, 0, 1);
  Atomics.notify(free, 0);
}

/** The bytes of the n-th frame since the start, not copied. */
export const slotOf = (slots: Slots, n: number): Uint8Array =>
  new Uint8Array(slots.frames, (n % slots.count) * slots.frameBytes, slots.frameBytes);
