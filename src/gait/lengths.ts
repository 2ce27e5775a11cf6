import { LIMBS, limbSide, type Limb, type Side } from '../points.ts';
import { alongH } from './geometry.ts';
import { strideMean, type StrideMean } from './interval.ts';
import { localPolynomial } from './localPolynomial.ts';
import { robustRegress } from './regression.ts';
import { FAR_SD } from './rhythm.ts';
import type { PassScale } from './scale.ts';
import type { SpanData } from './series.ts';
import { trunkF } from './series.ts';
import type { FoundStance } from './stances.ts';
import { quadrature, robustSd, type Estimate } from './statistics.ts';

/** Usual variation of stride length within a horse: 2 - 5 % (Drevemo et al. 1980, EVJ 12:60). */
export const LENGTH_CV = 0.035;
/** Usual variation of overtrack from stride to stride, withers heights: our assumption, no source. */
const OVERTRACK_SD_H = 0.025;
/**
 * No walk stride is shorter or longer than this, withers heights: ridden walk is 0.98, SD 0.11 (145 clips, measured on
 * the trajectories of Niknejad et al. 2023, J ASABE 66:865), judges call more than 1.1 ample (judging grid of the French
 * sport-horse breeders, GFE, criterion "walk"); this is more than three SDs away. What lies outside was not one stride.
 */
export const STRIDE_H = [0.6, 1.5] as const;
export const isStrideH = (lengthH: number): boolean => lengthH > STRIDE_H[0] && lengthH < STRIDE_H[1];

/** A print along the path, withers heights from the camera's axis, forward positive. */
export interface PrintAlong extends Estimate {
  readonly stance: FoundStance;
}

/** Hooves stand nearer or farther than the mid-plane, and look larger or smaller by that. */
export function printAlong(scale: PassScale, stance: FoundStance, nearSide: Side): PrintAlong | null {
  if (stance.print === null) return null;
  const nearer = limbSide(stance.limb) === nearSide ? 1 : -1;
  const value = alongH(scale.view, stance.print.f * (1 - nearer * scale.nearShare.value));
  const sd = quadrature(stance.print.sdF / scale.view.heightPx, scale.errors.toeForwardOfStance);
  return Number.isFinite(value) ? { value, sd, stance } : null;
}

const midS = (s: FoundStance): number => ((s.on?.value ?? s.restS.fromS) + (s.off?.value ?? s.restS.toS)) / 2;

const printsOf = (prints: readonly PrintAlong[], limb: Limb): PrintAlong[] =>
  prints.filter((p) => p.stance.limb === limb).sort((a, b) => midS(a.stance) - midS(b.stance));

/** Distances between successive prints of a hoof, withers heights; none that is far from speed x duration. */
function stridesOf(
  prints: readonly PrintAlong[],
  limb: Limb,
  strideS: number | null,
  expectedH: number | null,
): Estimate[] {
  const own = printsOf(prints, limb);
  return own.slice(1).flatMap((p, i) => {
    const before = own[i];
    if (!before) return [];
    const lag = midS(p.stance) - midS(before.stance);
    if (strideS !== null && Math.abs(lag / strideS - 1) > 0.45) return [];
    const value = p.value - before.value;
    if (!isStrideH(value)) return [];
    if (expectedH !== null && Math.abs(value / expectedH - 1) > 0.3) return [];
    return [{ value, sd: quadrature(p.sd, before.sd) }];
  });
}

/** Stride length, withers heights: from both near hooves; from the far ones where only those allow it. */
export function strideLengthH(
  prints: readonly PrintAlong[],
  nearSide: Side,
  strideS: number | null,
  expectedH: number | null,
): StrideMean | null {
  const farSide = nearSide === 'left' ? 'right' : 'left';
  for (const side of [nearSide, farSide] as const) {
    const perHoof = LIMBS.filter((limb) => limbSide(limb) === side).map((limb) =>
      stridesOf(prints, limb, strideS, expectedH),
    );
    const strides = perHoof.flat();
    const usual = LENGTH_CV * (strides.reduce((s, e) => s + e.value, 0) / Math.max(1, strides.length));
    const mean = strideMean(strides, usual, Math.max(...perHoof.map((s) => s.length)), side);
    if (mean) return side === nearSide ? mean : { ...mean, sd: FAR_SD * mean.sd };
  }
  return null;
}

export interface PrintPair<Print> {
  readonly side: Side;
  readonly fore: Print;
  readonly hind: Print;
}
export type OvertrackPair = PrintPair<PrintAlong>;

/** Each fore print with the next hind print of the same side: it comes half to one stride later. */
export function overtrackPairs(prints: readonly PrintAlong[], side: Side, strideS: number): OvertrackPair[] {
  const of = (limb: Limb): PrintAlong[] => printsOf(prints, limb);
  const [hinds, fores] = side === 'left' ? [of('LH'), of('LF')] : [of('RH'), of('RF')];
  return pairUp(fores, hinds, side, strideS, ({ stance }) => midS(stance));
}

/** The same of prints of one side in order of time; `atS`: the middle of a stance. */
export const pairUp = <Print>(
  fores: readonly Print[],
  hinds: readonly Print[],
  side: Side,
  strideS: number,
  atS: (print: Print) => number,
): PrintPair<Print>[] =>
  fores.flatMap((fore) => {
    const hind = hinds.find((h) => {
      const later = atS(h) - atS(fore);
      return later > 0.4 * strideS && later < 1.15 * strideS;
    });
    return hind ? [{ side, fore, hind }] : [];
  });

/**
 * The print of an exchanged leg lies about half a stride from that of the right one. Overtracks of a pass lie within
 * a few hundredths of a withers height of each other, and at a walk within .35 of 0 (our assumption, no source).
 */
const EXCHANGED_H = 0.25;
const LARGEST_OVERTRACK_H = 0.4;

/** Without those pairs in which a hoof is the other leg's: far from most of the others, or from what a walk allows. */
export function withoutExchanged<Pair extends PrintPair<Estimate>>(pairs: readonly Pair[]): Pair[] {
  const of = (p: Pair): number => overtrackOf(p).value;
  const able = pairs.filter((p) => Math.abs(of(p)) < LARGEST_OVERTRACK_H);
  return able.filter((p) => {
    const alike = able.filter((q) => Math.abs(of(p) - of(q)) < EXCHANGED_H);
    return 2 * (alike.length - 1) >= able.length - 1;
  });
}

export const overtrackOf = (pair: PrintPair<Estimate>): Estimate => ({
  value: pair.hind.value - pair.fore.value,
  sd: quadrature(pair.hind.sd, pair.fore.sd),
});

/** Overtrack, withers heights; the far side where only that allows it. */
export function overtrackH(pairs: readonly PrintPair<Estimate>[], nearSide: Side): StrideMean | null {
  const near = pairs.filter((p) => p.side === nearSide);
  const chosen = near.length > 0 ? near : pairs;
  const side = chosen[0]?.side ?? nearSide;
  const mean = strideMean(chosen.map(overtrackOf), OVERTRACK_SD_H, chosen.length, side);
  return mean && side !== nearSide ? { ...mean, sd: FAR_SD * mean.sd } : mean;
}

/** Body speed along the path, withers heights per second: slope of the trunk's place, its bob within the stride set aside. */
export function bodySpeedH(data: SpanData, scale: PassScale, strideS: number | null): StrideMean | null {
  const t0 = data.timesS[0] ?? 0;
  const places = trunkF(data).flatMap((f, i) =>
    f === null ? [] : [{ t: (data.timesS[i] ?? 0) - t0, s: alongH(scale.view, f) }],
  );
  const lastsS = (places[places.length - 1]?.t ?? 0) - (places[0]?.t ?? 0);
  if (places.length < 5 || lastsS <= 0) return null;
  const waves = strideS !== null && lastsS > 0.9 * strideS ? [1, 2] : [];
  const rows = places.map(({ t, s }) => ({
    x: [1, t, ...waves.flatMap((k) => [Math.cos(wave(k, t, strideS)), Math.sin(wave(k, t, strideS))])],
    y: s,
    sd: 0.01,
  }));
  const fit = robustRegress(rows);
  const speed = fit?.coefficients[1];
  if (!fit || speed === undefined || speed <= 0) return null;
  const n = Math.max(1, Math.floor(lastsS / (strideS ?? lastsS)));
  const strides = strideS === null ? [] : strideSpeeds(places, n, strideS);
  const usual = LENGTH_CV * speed;
  const spread = strideMean(strides.length > 0 ? strides : [{ value: speed, sd: 0 }], usual, n, 'both');
  const placeSd = Math.max(robustSd(fit.residuals), 0.005);
  const slopeSd = quadrature((2 * placeSd) / lastsS, strideS === null ? 0.05 * speed : 0);
  return spread && { ...spread, value: speed, sd: quadrature(spread.sd, slopeSd) };
}

/** Speed over each of n strides end to end, withers heights per second, by where the trunk is at their ends. */
function strideSpeeds(
  places: readonly { t: number; s: number }[],
  n: number,
  strideS: number,
): { value: number; sd: number }[] {
  const times = places.map((p) => p.t);
  const along = places.map((p) => p.s);
  const first = ((times[0] ?? 0) + (times[times.length - 1] ?? 0) - n * strideS) / 2;
  const ends = Array.from(
    { length: n + 1 },
    (_, k) => localPolynomial(times, along, first + k * strideS, 0.15 * strideS, 1)?.value ?? null,
  );
  return ends.slice(1).flatMap((after, k) => {
    const before = ends[k] ?? null;
    return before === null || after === null ? [] : [{ value: (after - before) / strideS, sd: 0 }];
  });
}

const wave = (k: number, t: number, strideS: number | null): number => (2 * Math.PI * k * t) / (strideS ?? 1);
