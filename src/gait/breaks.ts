import type { Limb } from '../points.ts';
import { trunkF, type SpanData } from './series.ts';

/**
 * A trunk, or a pair of hooves, unseen for longer than this share of the pace ends a pass. A swing takes about .38 of a
 * stride (check 8): in a shorter hole no whole step is lost, and a leg can't be taken for its neighbour after it.
 */
const LONGEST_HOLE = 0.35;

const PAIRS: readonly (readonly [Limb, Limb])[] = [
  ['LF', 'RF'],
  ['LH', 'RH'],
];

/** Indices of frames before which a pass must end: the horse, or a pair of its legs, was lost there. */
export function breaksOf(data: SpanData, pace: number): Set<number> {
  const trunk = trunkF(data).map((f) => f !== null);
  const pairs = PAIRS.map((pair) =>
    data.timesS.map((_, i) => pair.some((limb) => (data.hooves[limb][i] ?? null) !== null)),
  );
  return new Set([trunk, ...pairs].flatMap((isSeen) => afterHoles(data.timesS, isSeen, LONGEST_HOLE * pace)));
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
