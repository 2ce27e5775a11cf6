import { isUntold, type Untold } from '../../src/stats/types.ts';
import type { StatsReason } from '../../src/stats/words.ts';
import { seededRandom } from '../../src/gait/random.ts';

/** What was told; an error where it wasn't. */
export function told<T extends object>(x: T | Untold<StatsReason>): Exclude<T, Untold<StatsReason>> {
  if (isUntold(x)) throw new Error(`not told: ${x.reason}`);
  return x as Exclude<T, Untold<StatsReason>>;
}

/** Seeded normal numbers (Box & Muller 1958): mean 0, SD 1. */
export function seededNormal(seed: number): () => number {
  const random = seededRandom(seed);
  return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

export const times = <T>(n: number, make: (i: number) => T): T[] =>
  Array.from({ length: n }, (_, i) => make(i));
