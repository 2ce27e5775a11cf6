import type { PassFacts } from '../gait/facts.ts';
import { harmfulBlurH, TOE_SHARE } from '../gait/blur.ts';
import { PRIOR_DF, toMeasure, type StrideMean } from '../gait/interval.ts';
import { lengthsH, STICK_SD_M } from '../gait/lengthMeasures.ts';
import type { PrintAlong } from '../gait/lengths.ts';
import { leastEdgeSdS } from '../gait/edges.ts';
import { strideDuration } from '../gait/rhythm.ts';
import type { PassScale } from '../gait/scale.ts';
import { paceS, roughHeightPx, seen } from '../gait/series.ts';
import { quadrature, type Estimate } from '../gait/statistics.ts';
import { HOOF, limbSide } from '../points.ts';
import { settingsOf } from '../track/settings.ts';
import { WANTED } from './wanted.ts';

/** What of the filming the core's intervals of a side pass know a term for. */
export const COSTED = [
  'oblique',
  'bent',
  'tilted',
  'tooNear',
  'small',
  'blurred',
  'fewPictures',
  'legsHidden',
  'groundLost',
  'fewStrides',
] as const;
export type Costed = (typeof COSTED)[number];

/** Half widths of 95 % intervals: lengths in withers heights, durations in s; null where there is none. */
export interface Halves {
  readonly overtrackH: number | null;
  readonly strideLengthH: number | null;
  readonly strideDurationS: number | null;
}

/** All that a side pass was measured from, with a scale. */
export type ScaledFacts = PassFacts & { readonly scale: PassScale };
interface Film {
  readonly facts: ScaledFacts;
  /** How sure the scale is. */
  readonly sure: PassScale;
  /** As if so many strides had been seen, at least. */
  readonly leastStrides: number;
}

const halfOf = (m: StrideMean | null, systematicSds: readonly number[]): number | null => {
  const measure = toMeasure(m, systematicSds, 'tooFewStrides');
  return 'reason' in measure ? null : measure.high - measure.value;
};

/** The mean as it would be of so many strides of the same spread. */
function ofStrides(m: StrideMean | null, least: number): StrideMean | null {
  if (m === null || m.n >= least) return m;
  const degreesOfFreedom = Math.max(m.degreesOfFreedom, PRIOR_DF + least - 1);
  return { ...m, n: least, sd: m.sd * Math.sqrt(m.n / least), degreesOfFreedom };
}

function halvesOf({ facts, sure, leastStrides }: Film): Halves {
  const { options, duration } = facts;
  const stickRelSd = options.withersM === null ? 0 : (options.withersSdM ?? STICK_SD_M) / options.withersM;
  const h = lengthsH(facts, facts.scale, sure);
  const length = (m: StrideMean | null, systematic: readonly number[]): number | null =>
    halfOf(ofStrides(m, leastStrides), [...systematic, (m?.value ?? 0) * stickRelSd]);
  return {
    overtrackH: length(h.overtrack, h.overtrackSystematic(h.overtrack)),
    strideLengthH: length(h.stride, h.strideSystematic),
    strideDurationS: halfOf(ofStrides(duration, leastStrides), []),
  };
}

/** Without one part of an SD. */
const less = (sd: number, partSd: number): number => Math.sqrt(Math.max(0, sd ** 2 - partSd ** 2));

/**
 * Prints whose part of the error that was seen in the pictures is `share` of what it is; that of the network stays, or
 * becomes `leftSd`.
 */
function withPrints(
  facts: ScaledFacts,
  share: (print: PrintAlong) => number,
  leftSd = facts.scale.errors.toeForwardOfStance,
): ScaledFacts {
  const stanceSd = facts.scale.errors.toeForwardOfStance;
  const smaller = (print: PrintAlong): PrintAlong => ({
    ...print,
    sd: quadrature(less(print.sd, stanceSd) * share(print), leftSd),
  });
  return {
    ...facts,
    prints: facts.prints.map(smaller),
    pairs: facts.pairs.map((pair) => ({ ...pair, fore: smaller(pair.fore), hind: smaller(pair.hind) })),
  };
}

/** A swing lasts about this share of a stride. */
const SWING_SHARE = 0.38;

/** Hoof-on and hoof-off as timed with `share` of the noise of the pictures. */
function withEdges(facts: ScaledFacts, share: number): ScaledFacts {
  const { stances, duration, data } = facts;
  const roughPx = roughHeightPx(data);
  if (!duration || roughPx === null) return facts;
  const least = leastEdgeSdS(SWING_SHARE * duration.value);
  const smaller = (edge: Estimate | null): Estimate | null => {
    if (!edge) return null;
    return { ...edge, sd: Math.min(edge.sd, quadrature(less(edge.sd, least) * share, least)) };
  };
  const timed = stances.map((s) => ({ ...s, on: smaller(s.on), off: smaller(s.off) }));
  const better = strideDuration(timed, data.span.nearSide, paceS(data, roughPx));
  return better ? { ...facts, stances: timed, duration: { ...duration, sd: better.sd } } : facts;
}

export const picturesPerS = ({ data }: PassFacts): number => (data.frameS > 0 ? 1 / data.frameS : 0);
export const distanceH = ({ view }: PassScale): number => view.focalPx / view.heightPx;
/** Share of the pictures in which the hoof of a limb, or its fetlock, is seen. */
export const seenShare = ({ data }: PassFacts, limb: keyof PassFacts['data']['hooves']): number =>
  seen(data.hooves[limb]).length / Math.max(1, data.timesS.length);

/** As if the network had seen it sharp: points have its own errors, and toes tremble as sharp ones do. */
function sharp({ facts, sure, ...film }: Film): Film {
  const { scale, sharpErrors, blurH } = facts;
  const trembleSd = settingsOf(HOOF.LF).sd;
  const share = trembleSd / quadrature(trembleSd, TOE_SHARE * harmfulBlurH(blurH));
  const prints = withPrints(facts, () => share, sharpErrors.toeForwardOfStance);
  const blurred = quadrature(scale.errors.withersUp, scale.errors.toeUp);
  const left = quadrature(sharpErrors.withersUp, sharpErrors.toeUp);
  const heightRelSd = quadrature(less(sure.heightRelSd, blurred), left);
  return {
    ...film,
    sure: { ...sure, heightRelSd, errors: sharpErrors },
    facts: { ...withEdges(prints, share), scale: { ...scale, errors: sharpErrors }, blurH: null },
  };
}

/** The pass as it would have been measured without one thing that was filmed badly, all else as it is. */
const WITHOUT: Readonly<Record<Costed, (film: Film) => Film>> = {
  oblique: (film) => ({ ...film, sure: { ...film.sure, view: { ...film.sure.view, slope: 0 } } }),
  bent: (film) => ({ ...film, sure: { ...film.sure, view: { ...film.sure.view, curve: 0 } } }),
  tilted: ({ facts, ...film }) => {
    const { relSd, tiltRelSd } = facts.balance;
    const balance = { ...facts.balance, relSd: less(relSd, tiltRelSd), tiltRelSd: 0 };
    return { ...film, facts: { ...facts, balance } };
  },
  tooNear: (film) => {
    const share = Math.min(1, distanceH(film.facts.scale) / WANTED.distanceH);
    const { value, sd } = film.sure.nearShare;
    return { ...film, sure: { ...film.sure, nearShare: { value, sd: sd * share } } };
  },
  small: (film) => {
    const share = Math.min(1, film.facts.scale.view.heightPx / WANTED.heightPx);
    return {
      ...film,
      facts: withEdges(
        withPrints(film.facts, () => share),
        share,
      ),
    };
  },
  blurred: sharp,
  fewPictures: (film) => {
    const share = Math.sqrt(Math.min(1, picturesPerS(film.facts) / WANTED.picturesPerS));
    return {
      ...film,
      facts: withEdges(
        withPrints(film.facts, () => share),
        share,
      ),
    };
  },
  legsHidden: (film) => {
    const { data } = film.facts;
    const share = ({ stance: { limb } }: PrintAlong): number =>
      limbSide(limb) === data.span.nearSide ? Math.sqrt(seenShare(film.facts, limb)) : 1;
    return { ...film, facts: withPrints(film.facts, share) };
  },
  groundLost: ({ facts, ...film }) => ({
    ...film,
    facts: { ...facts, data: { ...facts.data, groundSdPx: 0 } },
  }),
  fewStrides: (film) => ({ ...film, leastStrides: WANTED.strides }),
};

/** Half widths as they are, without each of some causes, and without all of them. */
export interface Budget {
  readonly half: Halves;
  readonly without: Readonly<Partial<Record<Costed, Halves>>>;
  readonly rest: Halves;
}

/**
 * How the intervals of stride length, overtrack and stride duration come about: they are computed again by the core as
 * if the pass had been filmed without one of the causes, and without all of them.
 */
export function budgetOf(facts: ScaledFacts, causes: readonly Costed[]): Budget {
  const film: Film = { facts, sure: facts.scale, leastStrides: 0 };
  return {
    half: halvesOf(film),
    without: Object.fromEntries(causes.map((cause) => [cause, halvesOf(WITHOUT[cause](film))])),
    rest: halvesOf(causes.reduce((left, cause) => WITHOUT[cause](left), film)),
  };
}
