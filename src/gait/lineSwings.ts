import { HOOF, isFore, limbSide, type Limb } from '../points.ts';
import type { LinePath } from './linePath.ts';
import type { LinePrint, LineSteps } from './lineSteps.ts';
import { nearEnd, type LineData } from './lineView.ts';

/** A hoof in swing, seen from behind, against the line from the print that it left to the one that it makes. */
export interface SwingSample {
  readonly timeS: number;
  /** Share of the swing that is over. */
  readonly share: number;
  /** Outward of that line, H. */
  readonly outH: number;
  /** Above the ground, H: roughly, as how far along the hoof has come is taken from a usual swing. */
  readonly upH: number;
}

/** To the left for a left limb. */
export const outward = (limb: Limb): 1 | -1 => (limbSide(limb) === 'left' ? 1 : -1);

/** A gap between two prints longer than this share of the stride is no single swing. */
const LONGEST_SWING = 0.8;

/**
 * Whether a limb can be followed through the air: the far pair swings behind the near one, where it was put up to 12 cm
 * off on drawn horses (`npm run accuracy -- --triangles`).
 */
export const swingsInSight = ({ span }: LineData, limb: Limb): boolean => nearEnd(span).limbs.includes(limb);

/** The swings of a limb that were seen from one print to the next; none of the far pair. */
export function swingsOf(
  data: LineData,
  path: LinePath,
  { prints, strideS }: LineSteps,
  limb: Limb,
): SwingSample[][] {
  if (!swingsInSight(data, limb)) return [];
  const own = prints.filter((p) => p.limb === limb);
  return own.slice(1).flatMap((to, i) => {
    const from = own[i];
    return from && to.onS - from.offS < LONGEST_SWING * strideS ? [swing(data, path, from, to)] : [];
  });
}

function swing(data: LineData, path: LinePath, from: LinePrint, to: LinePrint): SwingSample[] {
  const end = isFore(from.limb) ? 'fore' : 'hind';
  const [start, stop] = [from, to].map(({ middleS, x }) => path.placeOf({ timeS: middleS, x }, end));
  if (!start || !stop) return [];
  const [a, b] = [path.asideH(start), path.asideH(stop)];
  return data.points[HOOF[from.limb]].flatMap((at) => {
    if (!at || at.timeS <= from.offS || at.timeS >= to.onS) return [];
    const share = (at.timeS - from.offS) / (to.onS - from.offS);
    // A swinging hoof speeds up and slows down again: half a cosine or this, alike.
    const gone = share * share * (3 - 2 * share);
    const along = start.along + gone * (stop.along - start.along);
    const outH = outward(from.limb) * (path.asideH(path.placeAlong(at.x, along)) - (a + gone * (b - a)));
    // Level ground lies lower in the picture by an amount that goes with one over its depth.
    const near = (1 / along - 1 / start.along) / (1 / stop.along - 1 / start.along || 1);
    const upH = path.acrossH(from.y + near * (to.y - from.y) - at.y, along);
    return [{ timeS: at.timeS, share, outH, upH }];
  });
}
