import { frameTimingSdS } from './edges.ts';
import type { FoundStance } from './stances.ts';
import type { Estimate } from './statistics.ts';
import type { EventCorrection } from './types.ts';

type SetEdges = Partial<Record<EventCorrection['edge'], Estimate>>;

/**
 * Puts hoof-on and hoof-off times set by hand in the place of the found edges nearest to foundS, at most half a
 * stride away; of two for one edge the later in the list counts. Both edges of a stance are set before it is judged,
 * so that the order in which they were set doesn't matter. Of edges that would end a stance before it began, only
 * one that goes with the found other edge counts, and none where each would.
 */
export function applyEventCorrections(
  stances: readonly FoundStance[],
  corrections: readonly EventCorrection[],
  strideS: number,
  frameS: number,
): FoundStance[] {
  const set = new Map<number, SetEdges>();
  for (const correction of corrections) {
    const at = nearestEdge(stances, correction, strideS / 2);
    if (at === null || !Number.isFinite(correction.timeS)) continue;
    const edge = { value: correction.timeS, sd: frameTimingSdS(frameS) };
    set.set(at, { ...set.get(at), [correction.edge]: edge });
  }
  return stances.map((stance, at) => withEdges(stance, set.get(at)));
}

function withEdges(stance: FoundStance, set: SetEdges | undefined): FoundStance {
  if (set === undefined) return stance;
  const parts: SetEdges[] = [set.on ? { on: set.on } : {}, set.off ? { off: set.off } : {}];
  const edited = (edges: SetEdges): FoundStance[] => {
    const changed = { ...stance, ...edges, edited: true };
    const inOrder = !changed.on || !changed.off || changed.on.value < changed.off.value;
    return inOrder && (edges.on !== undefined || edges.off !== undefined) ? [changed] : [];
  };
  const [both] = edited(set);
  const single = parts.flatMap(edited);
  return both ?? (single.length === 1 ? single[0] : undefined) ?? stance;
}

function nearestEdge(
  stances: readonly FoundStance[],
  correction: EventCorrection,
  withinS: number,
): number | null {
  let best: number | null = null;
  let bestS = withinS;
  stances.forEach((stance, i) => {
    const edge = stance[correction.edge];
    if (stance.limb !== correction.limb || edge === null) return;
    const distance = Math.abs(edge.value - correction.foundS);
    if (distance <= bestS) {
      best = i;
      bestS = distance;
    }
  });
  return best;
}
