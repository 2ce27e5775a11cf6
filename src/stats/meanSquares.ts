import { mean } from 'simple-statistics';
import type { Untold } from './types.ts';

/** Mean squares of a two-way table without replication, unit of the data squared; raters: columns, e.g. passes. */
export interface MeanSquares {
  readonly subjects: number;
  readonly raters: number;
  readonly betweenSubjects: number;
  readonly withinSubjects: number;
  readonly betweenRaters: number;
  readonly residual: number;
}

/** What is left of this share of the largest value, squared, is rounding. */
const ROUNDING = 1e-13;

/**
 * Analysis of variance of a table of subjects (rows) by raters (columns), both two or more
 * (Shrout & Fleiss 1979, Psychol Bull 86:420, Table 2).
 */
export function meanSquares(
  table: readonly (readonly number[])[],
): MeanSquares | Untold<'tooFewRepeats' | 'unequalRows' | 'notFinite'> {
  const n = table.length;
  const k = table[0]?.length ?? 0;
  if (n < 2 || k < 2) return { reason: 'tooFewRepeats' };
  if (table.some((row) => row.length !== k)) return { reason: 'unequalRows' };
  if (!table.flat().every(Number.isFinite)) return { reason: 'notFinite' };
  const grand = mean(table.flat());
  const centred = table.map((row) => row.map((x) => x - grand));
  const ofRow = centred.map((row) => mean(row));
  const ofColumn = Array.from({ length: k }, (_, j) => mean(centred.map((row) => row[j] ?? 0)));
  const rounding = (ROUNDING * Math.max(...table.flat().map(Math.abs))) ** 2;
  const sum = (values: readonly number[]): number => {
    const squares = values.reduce((s, v) => s + v * v, 0);
    return squares <= rounding * n * k ? 0 : squares;
  };
  const within = centred.flatMap((row, i) => row.map((x) => x - (ofRow[i] ?? 0)));
  return {
    subjects: n,
    raters: k,
    betweenSubjects: (k * sum(ofRow)) / (n - 1),
    withinSubjects: sum(within) / (n * (k - 1)),
    betweenRaters: (n * sum(ofColumn)) / (k - 1),
    residual: sum(within.map((x, i) => x - (ofColumn[i % k] ?? 0))) / ((n - 1) * (k - 1)),
  };
}
