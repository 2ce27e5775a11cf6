import { mean } from 'simple-statistics';
import type { Limb } from '../points.ts';
import { between, TRUNK, trunkF, type SpanData } from './series.ts';

/**
 * A trunk, or a pair of hooves, unseen for longer than this share of the pace ends a pass. A swing takes about .38 of a
 * stride (Hodson et al. 2000, 2001, Equine Vet J, from memory): in a shorter hole no whole step is lost, and a leg can't
 * be taken for its neighbour after it.
 */
const LONGEST_HOLE = 0.35;

const PAIRS: readonly (readonly [Limb, Limb])[] = [
  ['LF', 'RF'],
  ['LH', 'RH'],
];

/**
 * A trunk this far off its own way, withers heights, is another horse's, or was found anew elsewhere. The body's speed
 * changes by a tenth or so within a stride: 0.02 over a window; the points of real clips wander by up to 0.14 while a
 * horse comes into the picture (measured on four clips of Niknejad et al. 2023).
 */
const LARGEST_JUMP_H = 0.14;
/** It is looked for between the samples from here to there on either side, shares of the pace. */
const BESIDE = { from: 0.04, to: 0.3 } as const;
/** A single point of the trunk wanders; so many together don't. */
const LEAST_TRUNK_POINTS = 3;

/** Indices of frames before which a pass must end: the horse, or a pair of its legs, was lost or changed there. */
export function breaksOf(data: SpanData, heightPx: number, pace: number): Set<number> {
  const trunk = trunkF(data).map((f) => f !== null);
  const pairs = PAIRS.map((pair) =>
    data.timesS.map((_, i) => pair.some((limb) => (data.hooves[limb][i] ?? null) !== null)),
  );
  const holes = [trunk, ...pairs].flatMap((isSeen) => afterHoles(data.timesS, isSeen, LONGEST_HOLE * pace));
  return new Set([...holes, ...jumps(data, heightPx, pace)]);
}

/** Frames before which the trunk jumps: the largest of each group of neighbours. */
function jumps(data: SpanData, heightPx: number, pace: number): number[] {
  const samples = sureTrunk(data);
  const sizes = data.timesS.map((timeS, i) => {
    const middleS = (timeS + (data.timesS[i - 1] ?? timeS)) / 2;
    return Math.abs(jumpAt(samples, middleS, pace) ?? 0) / heightPx;
  });
  return sizes.flatMap((size, i) => {
    if (size < LARGEST_JUMP_H) return [];
    const isNear = (k: number): boolean =>
      Math.abs((data.timesS[k] ?? Infinity) - (data.timesS[i] ?? 0)) < BESIDE.to * pace;
    for (let k = i - 1; isNear(k); k--) if ((sizes[k] ?? 0) >= size) return [];
    for (let k = i + 1; isNear(k); k++) if ((sizes[k] ?? 0) > size) return [];
    return [i];
  });
}

interface Place {
  readonly timeS: number;
  readonly f: number;
}

/** The trunk's places in the frames that show enough of it. */
function sureTrunk(data: SpanData): Place[] {
  const places = trunkF(data);
  return data.timesS.flatMap((timeS, i) => {
    const f = places[i] ?? null;
    const count = TRUNK.filter((name) => data.points[name][i] ?? null).length;
    return f !== null && count >= LEAST_TRUNK_POINTS ? [{ timeS, f }] : [];
  });
}

/** Step between two lines of one slope before and after a time, px; null where too little was seen. */
function jumpAt(samples: readonly Place[], timeS: number, pace: number): number | null {
  const before = middleOf(between(samples, timeS - BESIDE.to * pace, timeS - BESIDE.from * pace));
  const after = middleOf(between(samples, timeS + BESIDE.from * pace, timeS + BESIDE.to * pace));
  const spread = before && after ? before.tt + after.tt : 0;
  if (!before || !after || spread <= 0) return null;
  const slope = (before.tf + after.tf) / spread;
  return after.f - before.f - slope * (after.timeS - before.timeS);
}

/** Mean time and place, and sums of squares and products about them; null for fewer than three samples. */
function middleOf(samples: readonly Place[]): (Place & { readonly tt: number; readonly tf: number }) | null {
  if (samples.length < 3) return null;
  const timeS = mean(samples.map((s) => s.timeS));
  const f = mean(samples.map((s) => s.f));
  const tt = samples.reduce((sum, s) => sum + (s.timeS - timeS) ** 2, 0);
  const tf = samples.reduce((sum, s) => sum + (s.timeS - timeS) * (s.f - f), 0);
  return { timeS, f, tt, tf };
}

function afterHoles(timesS: readonly number[], isSeen: readonly boolean[], longestS: number): number[] {
  let lastS = Number.POSITIVE_INFINITY;
  return timesS.flatMap((timeS, i) => {
    if (!isSeen[i]) return [];
    const isAfter = timeS - lastS > longestS;
    lastS = timeS;
    return isAfter ? [i] : [];
  });
}
