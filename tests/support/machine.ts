/** Bounds on time are given in units of a fixed piece of work: one machine is slower than another, and than itself. */

const POINTS = 20_000;
const ROUNDS = 10;

/** Small objects, exponentials and square roots, as in the core; nothing of it is ours. */
function fixedWork(): number {
  let sum = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const points = Array.from({ length: POINTS }, (_, i) => ({ x: i % 97, y: (i % 89) / 50, w: round }));
    const seen = points.map(({ x, y, w }) => ({ x: Math.hypot(x, y), y: Math.exp(-x * y), w }));
    sum += seen.reduce((all, { x, y, w }) => all + x * y + w, 0);
  }
  return sum;
}

function elapsedMs(piece: () => unknown): number {
  const started = performance.now();
  piece();
  return performance.now() - started;
}

/**
 * How many times as long as the fixed work a piece takes: the quickest runs of both, taken in turns, so that slow minutes
 * of the machine and whatever else runs on it weigh on neither. Ends as soon as it is below the bound.
 */
export function inUnitsOfWork(piece: () => unknown, bound: number, runs: number): number {
  let [own, unit] = [Infinity, Infinity];
  for (let i = 0; i < runs && !(own / unit < bound); i++) {
    for (let k = 0; k < 5; k++) unit = Math.min(unit, elapsedMs(fixedWork));
    own = Math.min(own, elapsedMs(piece));
  }
  return own / unit;
}
