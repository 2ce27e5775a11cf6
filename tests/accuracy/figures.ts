/** How far measures lie from the truth: one function for the accuracy bench, its gate in the tests, and the README. */

/** One measure of one pass of one clip. */
export interface Sample {
  readonly measure: string;
  readonly unit: string;
  /** By what the clips differ: frame rate, camera, obliquity, handler's side. */
  readonly groups: readonly string[];
  /** Found minus true, in `unit`; null where the measure was not given. */
  readonly error: number | null;
  /** Whether the 95 % interval holds the true value; null where there is no interval. */
  readonly held: boolean | null;
  /** The same with the errors of points on drawn horses; absent or null where there is no interval. */
  readonly heldDrawn?: boolean | null;
  /** Why it was not given. */
  readonly reason?: string;
}

export interface Row {
  readonly measure: string;
  readonly unit: string;
  /** `all`, or one of the groups. */
  readonly group: string;
  /** Measures given. */
  readonly n: number;
  /** Mean, root mean square and 95th percentile of the size of the error; null where none was given. */
  readonly bias: number | null;
  readonly rms: number | null;
  readonly p95: number | null;
  /** Share of intervals that hold the true value. */
  readonly coverage: number | null;
  /** The same of the intervals with the errors of points on drawn horses. */
  readonly coverageDrawn: number | null;
  /** Measures not given. */
  readonly failed: number;
  readonly reasons: Readonly<Record<string, number>>;
}

const mean = (list: readonly number[]): number => list.reduce((s, x) => s + x, 0) / list.length;

const shareOf = (list: readonly boolean[]): number | null =>
  list.length > 0 ? mean(list.map(Number)) : null;

/** Value below which this share of the list lies: linear between its sorted values (Hyndman & Fan 1996, type 7). */
export function quantile(list: readonly number[], share: number): number {
  const sorted = [...list].sort((a, b) => a - b);
  const at = (sorted.length - 1) * share;
  const [low, high] = [sorted[Math.floor(at)] ?? NaN, sorted[Math.ceil(at)] ?? NaN];
  return low + (high - low) * (at - Math.floor(at));
}

function rowOf(measure: string, group: string, samples: readonly Sample[]): Row {
  const errors = samples.flatMap(({ error }) => (error === null ? [] : [error]));
  const reasons: Record<string, number> = {};
  for (const { error, reason = 'unknown' } of samples)
    if (error === null) reasons[reason] = (reasons[reason] ?? 0) + 1;
  const some = errors.length > 0;
  return {
    measure,
    unit: samples[0]?.unit ?? '',
    group,
    n: errors.length,
    bias: some ? mean(errors) : null,
    rms: some ? Math.sqrt(mean(errors.map((e) => e * e))) : null,
    p95: some ? quantile(errors.map(Math.abs), 0.95) : null,
    coverage: shareOf(samples.flatMap(({ held }) => held ?? [])),
    coverageDrawn: shareOf(samples.flatMap(({ heldDrawn }) => heldDrawn ?? [])),
    failed: samples.length - errors.length,
    reasons,
  };
}

/** One row a measure for all clips together, then one for each group. */
export function figures(samples: readonly Sample[]): Row[] {
  const measures = [...new Set(samples.map((s) => s.measure))];
  const groups = [...new Set(samples.flatMap((s) => s.groups))].sort();
  return measures.flatMap((measure) => {
    const own = samples.filter((s) => s.measure === measure);
    return ['all', ...groups].flatMap((group) => {
      const list = group === 'all' ? own : own.filter((s) => s.groups.includes(group));
      return list.length > 0 ? [rowOf(measure, group, list)] : [];
    });
  });
}
