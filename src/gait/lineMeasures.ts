import { mean } from 'simple-statistics';
import { isFore, limbSide, type Limb, type Side } from '../points.ts';
import {
  notBelowZero,
  notMeasured,
  PRIOR_DF,
  scaled,
  strideMean,
  toMeasure,
  type StrideMean,
} from './interval.ts';
import type { LinePath, Place } from './linePath.ts';
import type { LinePrint, LineSteps } from './lineSteps.ts';
import { outward, swingsInSight, swingsOf, type SwingSample } from './lineSwings.ts';
import type { LineData, LineSample } from './lineView.ts';
import { NETWORK_ERRORS } from './pointErrors.ts';
import { quadrature, type Estimate } from './statistics.ts';
import type { HeadAside, LineMeasures, Measure } from './types.ts';

/**
 * The measures of a pass away or back, in withers heights until the last step. How far points are seen off to the side
 * was not measured on real horses: it is taken for as much as toes are seen off forward from the side.
 */
const { toeForward, toeForwardOfStance } = NETWORK_ERRORS;
/** What differs from step to step of one horse, H: our assumption, no source. */
const USUAL_SD_H = 0.012;

const ofPrints = (values: readonly number[], side: Side | 'both'): StrideMean | null => {
  const each = values.map((value): Estimate => ({ value, sd: Math.SQRT2 * toeForwardOfStance }));
  return strideMean(each, USUAL_SD_H, each.length, side);
};

/** How far a place of a limb lies to the left of the body's line, H. */
export const limbAside = (
  path: LinePath,
  { limb }: Pick<LinePrint, 'limb'>,
  at: Pick<LineSample, 'timeS' | 'x'>,
): number => path.asideH(path.placeOf(at, isFore(limb) ? 'fore' : 'hind'));
export const printAside = (path: LinePath, print: LinePrint): number =>
  limbAside(path, print, { timeS: print.middleS, x: print.x });

/** By so much a horse that plaits may set a hoof across the other's line, H; farther, one leg was taken for the other (our choice, no source). */
const CROSSED_H = 0.04;

/** How far the later of two prints of a pair that follow each other lies out of the other's line; null of one hoof. */
const widthOf = (path: LinePath, before: LinePrint, print: LinePrint): number | null =>
  before.limb === print.limb
    ? null
    : outward(print.limb) * (printAside(path, print) - printAside(path, before));

const pairOf = (prints: readonly LinePrint[], end: 'fore' | 'hind'): LinePrint[] =>
  prints.filter(({ limb }) => isFore(limb) === (end === 'fore')).sort((a, b) => a.middleS - b.middleS);

/** Prints of one end whose legs were taken for each other: of all, where those are most. */
function crossedOf(path: LinePath, own: readonly LinePrint[]): readonly LinePrint[] {
  const crossed = own.flatMap((print, i) => {
    const before = own[i - 1];
    const width = before ? widthOf(path, before, print) : null;
    return before && width !== null && width < -CROSSED_H ? [before, print] : [];
  });
  return 2 * new Set(crossed).size > own.length ? own : crossed;
}

/** Left out: a left hoof does not stand well to the right of the right one. */
function withoutCrossed(path: LinePath, steps: LineSteps): LineSteps {
  const crossed = new Set(
    (['fore', 'hind'] as const).flatMap((end) => crossedOf(path, pairOf(steps.prints, end))),
  );
  return { ...steps, prints: steps.prints.filter((print) => !crossed.has(print)) };
}

/** From right to left prints of one end that follow each other. */
function baseWidth(path: LinePath, prints: readonly LinePrint[], end: 'fore' | 'hind'): StrideMean | null {
  const own = pairOf(prints, end);
  const widths = own.slice(1).flatMap((print, i) => {
    const width = widthOf(path, own[i] as LinePrint, print);
    return width === null ? [] : [width];
  });
  return ofPrints(widths, 'both');
}

/** A hind hoof lands beside the print of its fore hoof after this share of the stride, at most: .77 is an even walk. */
const FOLLOWS = [0.4, 1.1] as const;

/** Each hind print to the left of the fore print of its side before it. */
function hindOnFore(path: LinePath, { prints, strideS }: LineSteps, side: Side): StrideMean | null {
  const of = (limb: Limb): LinePrint[] => prints.filter((p) => p.limb === limb);
  const [fore, hind] = side === 'left' ? [of('LF'), of('LH')] : [of('RF'), of('RH')];
  const offsets = hind.flatMap((print) => {
    const before = fore.find(({ middleS }) => {
      const later = (print.middleS - middleS) / strideS;
      return later > FOLLOWS[0] && later < FOLLOWS[1];
    });
    return before ? [printAside(path, print) - printAside(path, before)] : [];
  });
  return ofPrints(offsets, side);
}

/** A swing is looked at in this many parts. */
const PARTS = 12;

/** How far outward the hoof is in each part of a swing. */
function inParts(swing: readonly SwingSample[]): readonly (readonly number[])[] {
  const parts: number[][] = Array.from({ length: PARTS }, () => []);
  for (const { share, outH } of swing) parts[Math.min(PARTS - 1, Math.floor(share * PARTS))]?.push(outH);
  return parts;
}

/** Of a swing's edges mistaken by .02 s on a way some degrees off the line of sight: our estimate. */
const SWING_TIME_H = 0.004;

/** Largest departure of the mean swing of a hoof from the line between its prints, outward positive. */
function swingOut(data: LineData, path: LinePath, steps: LineSteps, limb: Limb): StrideMean | null {
  const swings = swingsOf(data, path, steps, limb).map(inParts);
  const parts = Array.from({ length: PARTS }, (_, k) => swings.flatMap((swing) => swing[k] ?? []));
  if (parts.some((part, k) => part.length === 0 && k > 1 && k < PARTS - 2)) return null;
  const means = parts.map((part) => (part.length > 0 ? mean(part) : 0));
  const smoothed = means.map((m, k) => ((means[k - 1] ?? 0) + 2 * m + (means[k + 1] ?? 0)) / 4);
  const value = smoothed.reduce((most, v) => (Math.abs(v) > Math.abs(most) ? v : most), 0);
  const each = swings.map((): Estimate => ({ value, sd: toeForwardOfStance }));
  return strideMean(each, USUAL_SD_H, swings.length, limbSide(limb));
}

/** Less sure points of the head are guesses: from behind it is hidden most of the time. */
const LEAST_HEAD_SCORE = 0.75;
/** Shares of the time that say nothing beyond this number of looks, or of a share of the pass. */
const LEAST_LOOKS = 10;
const LEAST_SEEN = 0.3;
/** The head counts as straight within a hand's breadth in all: our own choice, no source. */
export const HEAD_TOLERANCE_M = 0.05;

/** Where a point of the head is in each frame; null where it is not surely seen. */
export const headPlaces = (data: LineData, path: LinePath, point: 'poll' | 'muzzle'): (Place | null)[] =>
  data.points[point].map((p) => (p && p.score >= LEAST_HEAD_SCORE ? path.placeOf(p, point) : null));

/** How far it is to the left of the body's line, H. */
export const headLeftH = (data: LineData, path: LinePath, point: 'poll' | 'muzzle'): (number | null)[] =>
  headPlaces(data, path, point).map((place) => place && path.asideH(place));

function headAside(
  data: LineData,
  path: LinePath,
  smoother: LinePath,
  point: 'poll' | 'muzzle',
  strides: number,
  withers: Estimate | null,
): HeadAside {
  const [offsets = [], others = []] = [path, smoother].map((by) =>
    headLeftH(data, by, point).flatMap((left) => left ?? []),
  );
  const seen = offsets.length >= Math.max(LEAST_LOOKS, LEAST_SEEN * data.timesS.length);
  const of = strideMean([{ value: seen ? mean(offsets) : 0, sd: toeForward }], USUAL_SD_H, 1, 'both');
  const asideM = inMetres(
    seen && of ? { ...of, n: Math.max(1, Math.round(strides)) } : null,
    seen ? [mean(offsets) - mean(others)] : [],
    withers,
    'pointHidden',
  );
  if (!seen || withers === null) return { asideM };
  const share = (sign: 1 | -1): number =>
    mean(offsets.map((v) => (sign * v * withers.value > HEAD_TOLERANCE_M ? 1 : 0)));
  return { asideM, leftShare: share(1), rightShare: share(-1) };
}

/** Metres by the height at the withers, whose error is a share of the value, and so is that of seeing it in the picture. */
function inMetres(
  value: StrideMean | null,
  systematicH: readonly number[],
  withers: Estimate | null,
  otherwise: 'hoofHidden' | 'tooFewStrides' | 'pointHidden',
): Measure {
  if (value === null) return notMeasured(otherwise);
  if (withers === null) return notMeasured('withersHeightMissing');
  const ofHeight = quadrature(withers.sd / withers.value, NETWORK_ERRORS.withersUp);
  const sds = [...systematicH, value.value * ofHeight].map((sd) => sd * withers.value);
  return toMeasure(scaled(value, withers.value), sds, otherwise);
}

/** The line that the body follows, and the same smoothed over a longer way. */
export interface BodyPaths {
  readonly path: LinePath;
  readonly smoother: LinePath;
}

/** How far a value departs where the body's line is smoothed over a longer way is its doubt. */
function measuredBy(
  { path, smoother }: BodyPaths,
  withers: Estimate | null,
  of: (path: LinePath) => StrideMean | null,
  systematicH: number,
): Measure {
  const [value, other] = [of(path), of(smoother)];
  const doubtH = value && other ? Math.abs(value.value - other.value) : 0;
  return inMetres(value, [systematicH, doubtH], withers, 'tooFewStrides');
}

/** The measures that rest on the prints alone. */
export function printMeasures(
  paths: BodyPaths,
  found: LineSteps,
  withers: Estimate | null,
): Pick<LineMeasures, 'baseWidthForeM' | 'baseWidthHindM' | 'hindOnForeM'> {
  const steps = withoutCrossed(paths.path, found);
  const measured = (of: (path: LinePath) => StrideMean | null): Measure =>
    measuredBy(paths, withers, of, Math.SQRT2 * toeForward);
  const onFore = (side: Side): Measure => measured((by) => hindOnFore(by, steps, side));
  return {
    baseWidthForeM: measured((by) => baseWidth(by, steps.prints, 'fore')),
    baseWidthHindM: measured((by) => baseWidth(by, steps.prints, 'hind')),
    hindOnForeM: { left: onFore('left'), right: onFore('right') },
  };
}

/** All measures. `withers`: height at the withers, m; without it no length is given. */
export function lineMeasures(
  data: LineData,
  paths: BodyPaths,
  found: LineSteps,
  withers: Estimate | null,
): LineMeasures {
  const { path, smoother } = paths;
  const steps = withoutCrossed(path, found);
  const measured = (of: (path: LinePath) => StrideMean | null, systematicH: number): Measure =>
    measuredBy(paths, withers, of, systematicH);
  const strides = ((data.timesS.at(-1) ?? 0) - (data.timesS[0] ?? 0)) / steps.strideS;
  const whole = Math.max(1, Math.floor(strides));
  const ofPass = (value: number, sd: number): StrideMean => ({
    ...{ value, sd, n: whole, side: 'both' },
    degreesOfFreedom: PRIOR_DF + whole,
  });
  const { deg, sdDeg } = path.drift;
  const swing = (limb: Limb): Measure =>
    swingsInSight(data, limb)
      ? measured((by) => swingOut(data, by, steps, limb), quadrature(toeForward, SWING_TIME_H))
      : notMeasured('farPair');
  const head = (point: 'poll' | 'muzzle'): HeadAside =>
    headAside(data, path, smoother, point, strides, withers);
  return {
    pathDriftDeg: toMeasure(ofPass(deg, quadrature(sdDeg, deg - smoother.drift.deg)), [], 'tooFewStrides'),
    pathRmsM: notBelowZero(measured((by) => ofPass(by.rmsH, by.rmsSdH), 0)),
    ...printMeasures(paths, found, withers),
    swingOutM: { LH: swing('LH'), LF: swing('LF'), RH: swing('RH'), RF: swing('RF') },
    head: { toleranceM: HEAD_TOLERANCE_M, poll: head('poll'), muzzle: head('muzzle') },
  };
}
