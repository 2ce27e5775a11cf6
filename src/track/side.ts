import type { Side } from '../points.ts';
import { MIN_SCORE } from './settings.ts';
import type { ObservedFrame } from './types.ts';

/** The side seen is that of most of the frames this near, s. */
const WINDOW_S = 0.4;

/** Share of the box's height by which muzzle and tailhead are apart, at least, in a view from the side. */
const CLEARLY_APART = 0.5;

/** -1 left side, 1 right side, 0 another view, NaN no horse. A horse that faces left shows its left side. */
function vote(frame: ObservedFrame): number {
  const { horse } = frame;
  if (!horse) return NaN;
  const { muzzle, tailhead } = horse.points;
  const byView = horse.view === 'left' ? -1 : horse.view === 'right' ? 1 : 0;
  if (!muzzle || !tailhead || Math.min(muzzle.score, tailhead.score) < MIN_SCORE) return byView;
  const apart = (muzzle.x - tailhead.x) / Math.max(1, horse.box[3] - horse.box[1]);
  if (Math.abs(apart) < CLEARLY_APART) return byView;
  const byOrder = Math.sign(apart);
  return byView === 0 ? 0.5 * byOrder : (byView + byOrder) / 2;
}

/** Mean of the votes, NaN left out, within WINDOW_S of each frame; NaN where there is none. */
function meansAround(frames: readonly ObservedFrame[], votes: readonly number[]): number[] {
  let first = 0;
  let end = 0;
  let sum = 0;
  let n = 0;
  return frames.map((frame) => {
    for (; end < frames.length && (frames[end]?.timeS ?? 0) <= frame.timeS + WINDOW_S; end++) {
      const v = votes[end] ?? NaN;
      if (Number.isFinite(v)) [sum, n] = [sum + v, n + 1];
    }
    for (; (frames[first]?.timeS ?? 0) < frame.timeS - WINDOW_S; first++) {
      const v = votes[first] ?? NaN;
      if (Number.isFinite(v)) [sum, n] = [sum - v, n - 1];
    }
    return n === 0 ? NaN : sum / n;
  });
}

/** Which side of the horse is seen in each frame, from its view and from the order of muzzle and tailhead. */
export const seenSides = (frames: readonly ObservedFrame[]): (Side | null)[] =>
  meansAround(frames, frames.map(vote)).map((mean) =>
    Math.abs(mean) > 0.4 ? (mean < 0 ? 'left' : 'right') : null,
  );

/** The way a horse faces whose sides are both seen. */
export type Facing = 'away' | 'towards';

/** Where the horse is seen from behind or from the front by most of the frames around. */
export const facings = (frames: readonly ObservedFrame[]): (Facing | null)[] => {
  const by = ({ horse }: ObservedFrame): number =>
    horse ? (horse.view === 'away' ? -1 : horse.view === 'towards' ? 1 : 0) : NaN;
  return meansAround(frames, frames.map(by)).map((mean) =>
    Math.abs(mean) > 0.8 ? (mean < 0 ? 'away' : 'towards') : null,
  );
};
