import { FETLOCK, HOOF, KNEE_OR_HOCK, LIMBS, type PointName } from '../points.ts';
import type { AllSeries, Series } from './series.ts';

/**
 * Lengths that no limb has in any view, share of the height at the withers: upper bounds with room to spare
 * (common practice, no source: knee to fetlock about .18, hock to fetlock .28, fetlock to toe .11).
 */
const LONGEST_CANNON = 0.45;
const LONGEST_PASTERN = 0.24;

const copy = (series: Series): Series => ({
  x: Float64Array.from(series.x),
  y: Float64Array.from(series.y),
  score: Float64Array.from(series.score),
});

function forget(series: Series, i: number): void {
  series.x[i] = NaN;
  series.y[i] = NaN;
  series.score[i] = 0;
}

/** Leaves out limb points that can't belong to the limb of their neighbour: of the two the less sure one goes. */
export function gateLimbs(all: AllSeries, heightPx: Float64Array): AllSeries {
  const out: Record<PointName, Series> = { ...all };
  for (const limb of LIMBS) {
    const [knee, fetlock, hoof] = [KNEE_OR_HOCK[limb], FETLOCK[limb], HOOF[limb]].map((name) =>
      copy(all[name]),
    );
    if (!knee || !fetlock || !hoof) continue;
    for (let i = 0; i < heightPx.length; i++) {
      const tooFar = (a: Series, b: Series, most: number): boolean =>
        (a.score[i] ?? 0) > 0 &&
        (b.score[i] ?? 0) > 0 &&
        Math.hypot((a.x[i] ?? 0) - (b.x[i] ?? 0), (a.y[i] ?? 0) - (b.y[i] ?? 0)) > most * (heightPx[i] ?? 1);
      const drop = (a: Series, b: Series): void => forget((a.score[i] ?? 0) < (b.score[i] ?? 0) ? a : b, i);
      if (tooFar(fetlock, hoof, LONGEST_PASTERN)) drop(fetlock, hoof);
      if (tooFar(knee, fetlock, LONGEST_CANNON)) drop(knee, fetlock);
    }
    out[KNEE_OR_HOCK[limb]] = knee;
    out[FETLOCK[limb]] = fetlock;
    out[HOOF[limb]] = hoof;
  }
  return out;
}
