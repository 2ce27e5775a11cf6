import { heightAt } from './geometry.ts';
import { strideMean, type StrideMean } from './interval.ts';
import { regress } from './regression.ts';
import type { PassScale } from './scale.ts';
import type { SpanData } from './series.ts';
import type { Estimate } from './statistics.ts';

/** Heights above the ground, withers heights. */
export interface HeadPoint {
  readonly timeS: number;
  readonly poll: number;
  readonly withers: number;
  readonly croup: number | null;
}

export interface HeadMeans {
  readonly headAboveWithersH: StrideMean | null;
  readonly headNodH: StrideMean | null;
  readonly croupAboveWithersH: StrideMean | null;
}

/** Usual variation from stride to stride, withers heights: our assumptions, no source. */
const HEAD_SD_H = 0.02;
const NOD_SD_H = 0.015;
const CROUP_SD_H = 0.006;

export function headPoints(data: SpanData, scale: PassScale): HeadPoint[] {
  return data.timesS.flatMap((timeS, i) => {
    const poll = data.points.poll[i];
    const withers = data.points.withers[i];
    const croup = data.points.croup[i];
    if (!poll || !withers) return [];
    const above = (p: { f: number; d: number }): number =>
      (scale.groundD(p.f) - p.d) / heightAt(scale.view, p.f);
    return [{ timeS, poll: above(poll), withers: above(withers), croup: croup ? above(croup) : null }];
  });
}

/** Means over whole strides, and the range of the head's height above the withers within each of them. */
export function headMeans(points: readonly HeadPoint[], strideS: number | null): HeadMeans {
  const heads = points.map((p) => ({ timeS: p.timeS, y: p.poll - p.withers }));
  const croups = points.flatMap((p) =>
    p.croup === null ? [] : [{ timeS: p.timeS, y: p.croup - p.withers }],
  );
  const headFits = strideFits(heads, strideS);
  return {
    headAboveWithersH: meanOf(
      headFits.map((f) => f.mean),
      HEAD_SD_H,
    ),
    headNodH: meanOf(
      headFits.map((f) => f.range),
      NOD_SD_H,
    ),
    croupAboveWithersH: meanOf(
      strideFits(croups, strideS).map((f) => f.mean),
      CROUP_SD_H,
    ),
  };
}

const meanOf = (strides: readonly Estimate[], usualSd: number): StrideMean | null =>
  strideMean(strides, usualSd, strides.length, 'both');

interface StrideFit {
  readonly mean: Estimate;
  readonly range: Estimate;
}

/** Whole strides from the middle of what was seen. */
function strideFits(samples: readonly { timeS: number; y: number }[], strideS: number | null): StrideFit[] {
  const first = samples[0]?.timeS;
  const last = samples[samples.length - 1]?.timeS;
  if (strideS === null || first === undefined || last === undefined) return [];
  const count = Math.floor((last - first) / strideS + 0.05);
  const startS = (first + last - count * strideS) / 2;
  return Array.from({ length: count }, (_, k) => startS + k * strideS).flatMap((fromS) => {
    const inside = samples.filter((s) => s.timeS >= fromS - 1e-9 && s.timeS < fromS + strideS - 1e-9);
    return fitStride(inside, fromS, strideS) ?? [];
  });
}

/** Level, drift and two harmonics: the range of the harmonics is the nod, without drift and without keypoint noise. */
function fitStride(
  samples: readonly { timeS: number; y: number }[],
  fromS: number,
  strideS: number,
): StrideFit | null {
  if (samples.length < 9) return null;
  const row = (share: number): number[] => {
    const a = 2 * Math.PI * share;
    return [1, share - 0.5, Math.cos(a), Math.sin(a), Math.cos(2 * a), Math.sin(2 * a)];
  };
  const fit = regress(samples.map((s) => ({ x: row((s.timeS - fromS) / strideS), y: s.y, sd: 1 })));
  if (!fit) return null;
  const squares = fit.residuals.reduce((s, r) => s + r * r, 0);
  const noise = Math.sqrt(squares / Math.max(1, samples.length - 6));
  const nod = Array.from({ length: 48 }, (_, i) => {
    const x = row(i / 48);
    return [2, 3, 4, 5].reduce((s, k) => s + (x[k] ?? 0) * (fit.coefficients[k] ?? 0), 0);
  });
  const sd = noise / Math.sqrt(samples.length / 3);
  return {
    mean: { value: fit.coefficients[0] ?? 0, sd },
    range: { value: Math.max(...nod) - Math.min(...nod), sd: 2 * sd },
  };
}
