import type { EventCorrection } from './types.ts';
import type { FoundStance } from './stances.ts';

/**
 * Puts hoof-on and hoof-off times set by hand in the place of the found edges nearest to foundS, at most half a
 * stride away. A correction with no such edge, or that would end a stance before it began, changes nothing.
 */
export function applyEventCorrections(
  stances: readonly FoundStance[],
  corrections: readonly EventCorrection[],
  strideS: number,
  frameS: number,
): FoundStance[] {
  const found = stances.map((s) => s);
  const placed = new Map<number, FoundStance>();
  for (const correction of corrections) {
    const at = nearestEdge(stances, correction, strideS / 2);
    if (at === null || !Number.isFinite(correction.timeS)) continue;
    const stance = placed.get(at) ?? stances[at];
    if (!stance) continue;
    const edge = { value: correction.timeS, sd: frameS / Math.sqrt(12) };
    const changed = { ...stance, [correction.edge]: edge, edited: true };
    if (changed.on && changed.off && changed.off.value <= changed.on.value) continue;
    placed.set(at, changed);
  }
  for (const [at, stance] of placed) found[at] = stance;
  return found;
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
