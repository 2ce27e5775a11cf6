import { firstFrom } from '../track/times.ts';
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
  const [headFits, croupFits] = [wholeStrides(heads, strideS), wholeStrides(croups, strideS)];
  return {
    headAboveWithersH: meanOf(headFits, (f) => f.mean, HEAD_SD_H),
    headNodH: meanOf(headFits, (f) => f.range, NOD_SD_H),
    croupAboveWithersH: meanOf(croupFits, (f) => f.mean, CROUP_SD_H),
  };
}

/** Spread and number are those of strides end to end; the value is the mean over strides begun at any moment. */
function meanOf(fits: StrideFits, of: (fit: StrideFit) => Estimate, usualSd: number): StrideMean | null {
  const strides = fits.endToEnd.map(of);
  const spread = strideMean(strides, usualSd, strides.length, 'both');
  const all = fits.anyMoment.map((fit) => of(fit).value);
  return spread && { ...spread, value: all.reduce((sum, v) => sum + v, 0) / all.length };
}

interface StrideFit {
  readonly mean: Estimate;
  readonly range: Estimate;
}

interface StrideFits {
  readonly endToEnd: readonly StrideFit[];
  readonly anyMoment: readonly StrideFit[];
}

/** Strides that overlap are begun this often in each. */
const BEGUN_PER_STRIDE = 12;

/**
 * Whole strides from the middle of what was seen: end to end, and begun at any moment - where a stride begins and
 * ends is arbitrary, and one frame more or less at its edge must not move the mean.
 */
function wholeStrides(samples: readonly { timeS: number; y: number }[], strideS: number | null): StrideFits {
  const first = samples[0]?.timeS;
  const last = samples[samples.length - 1]?.timeS;
  if (strideS === null || first === undefined || last === undefined) return { endToEnd: [], anyMoment: [] };
  const count = Math.floor((last - first) / strideS + 0.05);
  const startS = (first + last - count * strideS) / 2;
  const times = samples.map((s) => s.timeS);
  const fitAt = (k: number): StrideFit[] => {
    const fromS = startS + k * strideS;
    const inside = samples.slice(firstFrom(times, fromS - 1e-9), firstFrom(times, fromS + strideS - 1e-9));
    const fit = fitStride(inside, fromS, strideS);
    return fit ? [fit] : [];
  };
  const begun = Math.max(0, count - 1) * BEGUN_PER_STRIDE + 1;
  return {
    endToEnd: Array.from({ length: count }, (_, k) => fitAt(k)).flat(),
    anyMoment: Array.from({ length: count > 0 ? begun : 0 }, (_, k) => fitAt(k / BEGUN_PER_STRIDE)).flat(),
  };
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
