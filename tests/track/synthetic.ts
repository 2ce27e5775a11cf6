import { FETLOCK, HOOF, KNEE_OR_HOCK, type Limb, mirrorName, type PointName } from '../../src/points.ts';
import { seededRandom } from '../../src/track/similarity.ts';
import type { ObservedFrame } from '../../src/track/types.ts';

type Points = Partial<Record<PointName, { x: number; y: number; score: number }>>;

export const PICTURE = { widthPx: 1920, heightPx: 1080 };

/** The frames with each seen point put through `change`; null leaves it out. */
export function changePoints(
  frames: readonly ObservedFrame[],
  change: (
    name: PointName,
    p: { x: number; y: number; score: number },
    frame: number,
  ) => { x: number; y: number; score: number } | null,
): ObservedFrame[] {
  return frames.map((frame, i) => {
    if (!frame.horse) return frame;
    const points: Points = {};
    for (const [name, p] of Object.entries(frame.horse.points) as [
      PointName,
      { x: number; y: number; score: number },
    ][]) {
      const next = change(name, p, i);
      if (next) points[name] = next;
    }
    return { ...frame, horse: { ...frame.horse, points } };
  });
}

/** Mirrored in the picture, names of the sides exchanged. */
export function mirrored(frames: readonly ObservedFrame[], widthPx: number): ObservedFrame[] {
  return frames.map((frame) => {
    if (!frame.horse) return frame;
    const { box, view } = frame.horse;
    const points: Points = {};
    for (const [name, p] of Object.entries(frame.horse.points) as [
      PointName,
      { x: number; y: number; score: number },
    ][]) {
      points[mirrorName(name)] = { ...p, x: widthPx - 1 - p.x };
    }
    const turned = view === 'left' ? 'right' : view === 'right' ? 'left' : view;
    return {
      ...frame,
      horse: { box: [widthPx - 1 - box[2], box[1], widthPx - 1 - box[0], box[3]], view: turned, points },
    };
  });
}

const limbPoints = (limb: Limb): PointName[] => [KNEE_OR_HOCK[limb], FETLOCK[limb], HOOF[limb]];

export interface Tangled {
  readonly frames: ObservedFrame[];
  /** Frames in which names were exchanged, by pair. */
  readonly swapped: { readonly fore: Set<number>; readonly hind: Set<number> };
}

/**
 * Exchanges left and right of whole legs, or of their lower parts, in runs of several frames, as networks do.
 * `share` of the frames of each pair end up with wrong names.
 */
export function swapLegs(
  frames: readonly ObservedFrame[],
  seed: number,
  share: number,
  meanRunS: number,
): Tangled {
  const random = seededRandom(seed);
  const swapped = { fore: new Set<number>(), hind: new Set<number>() };
  let out = [...frames];
  for (const [pair, left, right] of [
    ['fore', 'LF', 'RF'],
    ['hind', 'LH', 'RH'],
  ] as const) {
    for (let i = 0; i < frames.length;) {
      const first = i;
      const wrong = random() < share;
      const lower = random() < 0.5;
      const untilS = (frames[i]?.timeS ?? 0) + meanRunS * (0.3 + 1.4 * random());
      while (i < frames.length && (frames[i]?.timeS ?? 0) < untilS) i++;
      if (!wrong) continue;
      const names = lower ? 1 : 0;
      const exchange = new Map<PointName, PointName>();
      limbPoints(left)
        .slice(names)
        .forEach((name, k) => {
          const other = limbPoints(right).slice(names)[k];
          if (other) exchange.set(name, other).set(other, name);
        });
      for (let k = first; k < i; k++) swapped[pair].add(k);
      out = out.map((frame, k) => {
        if (k < first || k >= i || !frame.horse) return frame;
        const points: Points = {};
        for (const [name, p] of Object.entries(frame.horse.points) as [
          PointName,
          { x: number; y: number; score: number },
        ][])
          points[exchange.get(name) ?? name] = p;
        return { ...frame, horse: { ...frame.horse, points } };
      });
    }
  }
  return { frames: out, swapped };
}
