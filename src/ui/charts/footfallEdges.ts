import type { SidePass, Stance } from '../../gait/types.ts';
import { LIMBS, type Limb } from '../../points.ts';
import type { Edge } from '../session.ts';

export const ROW_PX = 48;
const REACH_PX = 24;

/** An edge of a stance as drawn; `key` stays the same while the edge moves. */
export interface DrawnEdge extends Edge {
  readonly key: string;
}

export function stancesOf(pass: SidePass, limb: Limb): readonly Stance[] {
  return pass.stances.filter((stance) => stance.limb === limb);
}

export function edgesOf(pass: SidePass): readonly DrawnEdge[] {
  return LIMBS.flatMap((limb) =>
    stancesOf(pass, limb).flatMap(({ onS, offS }, index) => [
      ...(onS === null ? [] : [{ key: `${limb} ${index} on`, limb, edge: 'on' as const, timeS: onS }]),
      ...(offS === null ? [] : [{ key: `${limb} ${index} off`, limb, edge: 'off' as const, timeS: offS }]),
    ]),
  );
}

/** The edge nearest to a place in the chart, in the row under the pointer; null where none is in reach. */
export function edgeNear(
  edges: readonly DrawnEdge[],
  toX: (timeS: number) => number,
  place: { readonly x: number; readonly y: number },
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
