import { nearestIndex } from '../track/times.ts';

const LAST_FRAME_S = 1 / 60;

/** A time well inside a frame, so that a seek never lands on the frame before. */
export function insideFrameS(timesS: readonly number[], frame: number): number {
  const start = timesS[frame] ?? 0;
  const next = timesS[frame + 1] ?? start + LAST_FRAME_S;
  return start + (next - start) / 2;
}

/** The frame of a picture with this time. A file may hold a picture twice, and a copy may round its times a little. */
export function frameOfPicture(timesS: readonly number[], pictureS: number): number {
  const near = nearestIndex(timesS, pictureS);
  const [start = 0, before = -Infinity] = [timesS[near], timesS[near - 1]];
  return start - pictureS > (start - before) / 4 ? Math.max(near - 1, 0) : near;
}

/** A time moved by whole frames, its place between two frames kept. */
export function steppedTime(timesS: readonly number[], timeS: number, frames: number): number {
  const index = nearestIndex(timesS, timeS);
  const last = timesS.length - 1;
  const to = Math.min(Math.max(index + frames, 0), last);
  return timeS + ((timesS[to] ?? timeS) - (timesS[index] ?? timeS));
}
