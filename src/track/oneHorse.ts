import type { ObservedFrame } from './types.ts';

/**
 * The frames with one horse in them, the one that is seen from the side in the most: points of two horses would make
 * one plausible path. In frames of another one no horse counts as seen. Of equals the first wins.
 */
export function ofOneHorse(frames: readonly ObservedFrame[]): readonly ObservedFrame[] {
  const fromTheSide = new Map<number | undefined, number>();
  for (const { horse, identity } of frames) {
    if (!horse) continue;
    const more = horse.view === 'left' || horse.view === 'right' ? 1 : 0;
    fromTheSide.set(identity, (fromTheSide.get(identity) ?? 0) + more);
  }
  if (fromTheSide.size < 2) return frames;
  const [[longest] = []] = [...fromTheSide].sort(([, a], [, b]) => b - a);
  return frames.map((frame) => (frame.identity === longest ? frame : { ...frame, horse: null }));
}

/** How long another horse was seen from the side in frames of which only one horse's were kept, s. */
export function leftOutS(all: readonly ObservedFrame[], kept: readonly ObservedFrame[]): number {
  return all.reduce((sum, { timeS, horse }, i) => {
    const isOut = kept[i]?.horse === null && (horse?.view === 'left' || horse?.view === 'right');
    return isOut ? sum + timeS - (all[i - 1]?.timeS ?? timeS) : sum;
  }, 0);
}
