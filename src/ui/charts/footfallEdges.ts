import type { SidePass, Stance } from '../../gait/types.ts';
import { LIMBS, type Limb } from '../../points.ts';
import type { Edge } from '../handEdits.ts';
import type { Draggable, Place } from './useEdgeDrag.ts';

export const ROW_PX = 48;
const REACH_PX = 24;

/**
 * An edge of a stance as drawn; `key` stays the same while the edge moves. It stays between its neighbours: a hoof lands
 * before it leaves the ground.
 */
export interface DrawnEdge extends Edge, Draggable {
  /** Which of its kind: the first landing of the hoof in this pass is 1. */
  readonly order: number;
}

/** Shortest stance or swing that can be drawn, s. */
const APART_S = 0.02;

export function stancesOf(pass: SidePass, limb: Limb): readonly Stance[] {
  return pass.stances.filter((stance) => stance.limb === limb);
}

/** From when to when a stance is drawn: where an edge is unknown, as far as the stance was seen. */
export const drawnSpan = (
  { onS, offS, seenS }: Stance,
  { startS, endS }: SidePass,
): { readonly fromS: number; readonly toS: number } => ({
  fromS: onS ?? seenS?.from ?? startS,
  toS: offS ?? seenS?.to ?? endS,
});

export function edgesOf(pass: SidePass): readonly DrawnEdge[] {
  return LIMBS.flatMap((limb) => {
    const edges = stancesOf(pass, limb).flatMap(({ onS, offS }, index) => [
      ...(onS === null ? [] : [{ key: `${limb} ${index} on`, limb, edge: 'on' as const, timeS: onS }]),
      ...(offS === null ? [] : [{ key: `${limb} ${index} off`, limb, edge: 'off' as const, timeS: offS }]),
    ]);
    return edges.map((edge, i) => ({
      ...edge,
      order: edges.slice(0, i + 1).filter((other) => other.edge === edge.edge).length,
      minS: Math.min((edges[i - 1]?.timeS ?? pass.startS - APART_S) + APART_S, edge.timeS),
      maxS: Math.max((edges[i + 1]?.timeS ?? pass.endS + APART_S) - APART_S, edge.timeS),
    }));
  });
}

/** The edge nearest to a place in the chart, in the row under the pointer; null where none is in reach. */
export function edgeNear(
  edges: readonly DrawnEdge[],
  toX: (timeS: number) => number,
  place: Place,
): DrawnEdge | null {
  const limb = LIMBS[Math.floor(place.y / ROW_PX)];
  let best: DrawnEdge | null = null;
  let bestPx = REACH_PX;
  for (const edge of edges) {
    const px = Math.abs(toX(edge.timeS) - place.x);
    if (edge.limb === limb && px <= bestPx) [best, bestPx] = [edge, px];
  }
  return best;
}
