import { MIN_SCORE } from './settings.ts';
import { IDENTITY, scaleOf } from './similarity.ts';
import { toStillFrame } from './turning.ts';
import type { Lens, ObservedFrame, Similarity } from './types.ts';

/** A horse that stays within this stands, withers heights: its points tremble, and it shifts its weight. */
const STANDS_H = 0.3;
/** Places are medians over this time, so that no single wrong point makes a way, s. */
const MEDIAN_S = 0.3;
/** Height at the withers over that of the box. */
const WITHERS_BOX = 0.85;

const isFromTheSide = ({ horse }: ObservedFrame): boolean =>
  horse?.view === 'left' || horse?.view === 'right';

/**
 * The frames with one horse in them: points of two would make one plausible path. It is the one that walks farthest
 * while it is seen from the side, in withers heights; one that stands beside the track is seen in more frames. Where
 * none walks, the one seen from the side in the most. In frames of another one no horse counts as seen. Of equals the
 * first wins.
 */
export function ofOneHorse(
  frames: readonly ObservedFrame[],
  toStill: readonly Similarity[] = [],
  lens?: Lens,
): readonly ObservedFrame[] {
  const own = new Map<number | undefined, Place[]>();
  frames.forEach((frame, i) => {
    if (!frame.horse) return;
    const places = own.get(frame.identity) ?? [];
    own.set(frame.identity, places);
    if (isFromTheSide(frame)) places.push(placeOf(frame, toStill[i] ?? IDENTITY, lens));
  });
  if (own.size < 2) return frames;
  const [first] = [...own]
    .map(([identity, places]) => ({ identity, wayH: wayH(places), frames: places.length }))
    .sort((a, b) => b.wayH - a.wayH || b.frames - a.frames);
  return frames.map((frame) => (frame.identity === first?.identity ? frame : { ...frame, horse: null }));
}

/** Where the withers are along the still frame, px, NaN where they are unseen; and their height, px. */
interface Place {
  readonly timeS: number;
  readonly x: number;
  readonly heightPx: number;
}

function placeOf({ timeS, horse }: ObservedFrame, still: Similarity, lens: Lens | undefined): Place {
  const withers = horse?.points.withers;
  const [, top = 0, , bottom = 0] = horse?.box ?? [];
  return {
    timeS,
    x: withers && withers.score >= MIN_SCORE ? toStillFrame(lens, still, withers).x : NaN,
    heightPx: WITHERS_BOX * (bottom - top) * scaleOf(still),
  };
}

const middle = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[values.length >> 1] ?? NaN;

/** Way along the picture, to and fro, withers heights; 0 for a horse that stands. */
function wayH(places: readonly Place[]): number {
  const groups = new Map<number, Place[]>();
  for (const place of places) {
    if (!Number.isFinite(place.x) || !(place.heightPx > 0)) continue;
    const at = Math.floor(place.timeS / MEDIAN_S);
    groups.set(at, [...(groups.get(at) ?? []), place]);
  }
  let way = 0;
  let from: number | null = null;
  for (const group of groups.values()) {
    const x = middle(group.map((place) => place.x));
    from ??= x;
    const gone = Math.abs(x - from) / middle(group.map(({ heightPx }) => heightPx));
    if (gone < STANDS_H) continue;
    way += gone;
    from = x;
  }
  return way;
}

/** How long another horse was seen from the side in frames of which only one horse's were kept, s. */
export function leftOutS(all: readonly ObservedFrame[], kept: readonly ObservedFrame[]): number {
  return all.reduce((sum, frame, i) => {
    const isOut = kept[i]?.horse === null && isFromTheSide(frame);
    return isOut ? sum + frame.timeS - (all[i - 1]?.timeS ?? frame.timeS) : sum;
  }, 0);
}
