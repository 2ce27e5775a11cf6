import { limbSide } from '../points.ts';
import type { Lens } from '../track/types.ts';
import { alongH, tanObliquity, wrongPlane, type PathView } from './geometry.ts';
import type { PointErrors } from './pointErrors.ts';
import { robustRegress, type Row } from './regression.ts';
import { seen, type SpanData } from './series.ts';
import type { FoundStance } from './stances.ts';
import { quadrature, robustSd, type Estimate } from './statistics.ts';

/**
 * The picture's scale along the path. Lengths are read against the height at the withers, which stands in the
 * mid-plane of the horse; hooves stand half a base width nearer or farther (check: dZ / Z).
 */
export interface PassScale {
  readonly view: PathView;
  readonly tan: Estimate;
  readonly slopeSd: number;
  readonly curveSd: number;
  readonly focalSd: number;
  /** Half a base width over the distance: near hooves look larger, far ones smaller, by this share. */
  readonly nearShare: Estimate;
  /** Relative SD of the height at the withers in the picture. */
  readonly heightRelSd: number;
  /** D px of the ground in the mid-plane at a place F. */
  readonly groundD: (f: number) => number;
  readonly errors: PointErrors;
  readonly panPx: number;
  readonly lens?: Lens;
}

/**
 * Phones' main cameras: 24 - 26 mm equivalent, less the stabiliser's crop: focal length 0.65 - 0.9 of the picture's
 * long side (common practice, no source). It is not in the file; what it may be goes into the interval.
 */
export const FOCAL_SHARE = { value: 0.75, sd: 0.12 };
/** Base width over withers height at walk: our assumption, no source. */
export const BASE_WIDTH_H = { value: 0.12, sd: 0.05 };
/**
 * Camera height over withers height, of a phone before the chest or the eyes of who stands: our assumption, no source. How
 * far off the near hooves are hardly hangs on it: with the lens at the horse's elbow (.55) it makes strides .2 % longer.
 */
export const CAMERA_HEIGHT_H = { value: 0.95, sd: 0.22 };
/** Ground or camera level within about 3 degrees. */
const LEVEL_SD = 0.05;
/** Before any measurement the path is thought to lie within about 8 degrees of the picture plane. */
const TAN_PRIOR_SD = 0.14;
/** And to be straight: the height departs from a straight line by about this share, two withers heights from the middle. */
const BEND_PRIOR = 0.04;

/**
 * A camera that turned has told its focal length, unless it went along with the horse, which looks like a longer one:
 * so only what may be a phone's main camera counts.
 */
export function focalOf(lens: Lens | undefined, longPx: number): Estimate {
  if (!lens || !(lens.kappa > 0)) return FOCAL_SHARE;
  const value = 1 / (Math.sqrt(lens.kappa) * longPx);
  const sd = (value * lens.kappaSd) / (2 * lens.kappa);
  const plausible = Math.abs(value - FOCAL_SHARE.value) < 2 * FOCAL_SHARE.sd;
  return plausible && sd < FOCAL_SHARE.sd ? { value, sd } : FOCAL_SHARE;
}

/** The same in px, where nobody has told it. */
export const focalPxOf = ({ lens, pictureLongPx }: SpanData): number =>
  focalOf(lens, pictureLongPx).value * pictureLongPx;

/** Null where withers or prints were seen too little. */
export function passScale(
  data: SpanData,
  stances: readonly FoundStance[],
  roughPx: number,
  strideS: number | null,
  errors: PointErrors,
  focalShare?: number,
): PassScale | null {
  const focal =
    focalShare === undefined ? focalOf(data.lens, data.pictureLongPx) : { value: focalShare, sd: 0.03 };
  const focalPx = focal.value * data.pictureLongPx;
  const focalSd = focal.sd / focal.value;
  const ground = groundLine(data, stances, roughPx, focalPx, errors.toeUp);
  const fit = ground && withersHeights(data, ground, roughPx, strideS, focalPx, errors.withersUp);
  if (!ground || !fit || fit.view.heightPx < 4) return null;
  const tan = tanObliquity(fit.view, fit.view.atForwardPx);
  const tanSd = (fit.slopeSd * focalPx) / fit.view.heightPx;
  return {
    view: fit.view,
    tan: { value: tan, sd: quadrature(tanSd, tan * focalSd) },
    slopeSd: fit.slopeSd,
    curveSd: fit.curveSd,
    focalSd,
    nearShare: nearShare(ground, fit.view.heightPx, focalPx),
    heightRelSd: quadrature(fit.sdPx / fit.view.heightPx, errors.withersUp, errors.toeUp),
    groundD: ground.at,
    errors,
    panPx: data.panPx,
    ...(data.lens ? { lens: data.lens } : {}),
  };
}

interface GroundLine {
  readonly at: (f: number) => number;
  readonly slopeSd: number;
  readonly curveSd: number;
  readonly sdPx: number;
  /** Near prints lie this much lower in the picture than far ones, px. */
  readonly nearBelowFar: Estimate;
}

/** A line through the prints; near and far ones stand on either side of the mid-plane. */
function groundLine(
  data: SpanData,
  stances: readonly FoundStance[],
  roughPx: number,
  focalPx: number,
  toeSdH: number,
): GroundLine | null {
  if (stances.length === 0) return null;
  const centre = stances.reduce((s, st) => s + (st.print ?? st.rest).f, 0) / stances.length;
  const rows: Row[] = stances.map((stance) => {
    const place = stance.print ?? stance.rest;
    const side = limbSide(stance.limb) === data.span.nearSide ? 0.5 : -0.5;
    const from = place.f - centre;
    return {
      x: [1, from, side, from * from],
      y: place.d,
      sd: quadrature(place.sdD, toeSdH * roughPx),
    };
  });
  const expected = (roughPx * CAMERA_HEIGHT_H.value * BASE_WIDTH_H.value * roughPx) / focalPx;
  const fit = robustRegress([
    ...rows,
    { x: [0, 1, 0, 0], y: 0, sd: LEVEL_SD + TAN_PRIOR_SD * (roughPx / focalPx) },
    { x: [0, 0, 1, 0], y: expected, sd: 0.6 * expected },
    { x: [0, 0, 0, 1], y: 0, sd: bendSd(roughPx) },
  ]);
  if (!fit) return null;
  const [level = 0, slope = 0, below = 0, bend = 0] = fit.coefficients;
  const [levelSd = 0, slopeSd = 0, belowSd = 0, curveSd = 0] = fit.sds;
  return {
    at: (f) => level + slope * (f - centre) + bend * (f - centre) ** 2,
    slopeSd,
    curveSd,
    sdPx: levelSd,
    nearBelowFar: { value: below, sd: belowSd },
  };
}

/** Half the base width over the distance, from how much lower near prints lie, and from what is usual. */
function nearShare(ground: GroundLine, heightPx: number, focalPx: number): Estimate {
  const distanceH = focalPx / heightPx;
  const usual = {
    value: wrongPlane(BASE_WIDTH_H.value, distanceH),
    sd: wrongPlane(BASE_WIDTH_H.sd, distanceH),
  };
  const perPx = 1 / (heightPx * CAMERA_HEIGHT_H.value);
  const seenShare = ground.nearBelowFar.value * perPx;
  const seenSd = quadrature(
    ground.nearBelowFar.sd * perPx,
    (seenShare * CAMERA_HEIGHT_H.sd) / CAMERA_HEIGHT_H.value,
  );
  const w = usual.sd ** 2 / (usual.sd ** 2 + seenSd ** 2);
  const value = Math.max(0, usual.value + w * (seenShare - usual.value));
  return { value: value / 2, sd: (Math.sqrt(1 - w) * usual.sd) / 2 };
}

/** SD of the quadratic term, 1 / px. */
const bendSd = (heightPx: number): number => (BEND_PRIOR * heightPx) / (2 * heightPx) ** 2;

interface Heights {
  readonly view: PathView;
  readonly sdPx: number;
  readonly slopeSd: number;
  readonly curveSd: number;
}

/**
 * Height at the withers against F, less the trunk's bob (twice a stride), so that it is that of whole strides. Slope
 * and bend start from priors: what can't be told from none isn't let in as noise.
 */
function withersHeights(
  data: SpanData,
  ground: GroundLine,
  roughPx: number,
  strideS: number | null,
  focalPx: number,
  withersSdH: number,
): Heights | null {
  const withers = seen(data.points.withers);
  const first = withers[0];
  const last = withers[withers.length - 1];
  if (!first || !last || withers.length < 4) return null;
  const lastsS = last.timeS - first.timeS;
  const meanF = withers.reduce((s, w) => s + w.f, 0) / withers.length;
  const bobS = strideS !== null && lastsS > 0.8 * strideS ? strideS / 2 : null;
  const waves = (timeS: number): number[] => {
    const angle = bobS === null ? 0 : (2 * Math.PI * (timeS - first.timeS)) / bobS;
    return bobS === null ? [] : [Math.cos(angle), Math.sin(angle)];
  };
  const none = bobS === null ? [] : [0, 0];
  const priors: Row[] = [
    { x: [0, 1, 0, ...none], y: 0, sd: (TAN_PRIOR_SD * roughPx) / focalPx },
    { x: [0, 0, 1, ...none], y: 0, sd: bendSd(roughPx) },
  ];
  const fitWith = (sdPx: number) =>
    robustRegress([
      ...withers.map((w): Row => {
        const from = w.f - meanF;
        return { x: [1, from, from * from, ...waves(w.timeS)], y: ground.at(w.f) - w.d, sd: sdPx };
      }),
      ...priors,
    ]);
  const rough = fitWith(0.01 * roughPx);
  // Errors of neighbouring frames are alike: about one independent look every fifth of a second.
  const looks = Math.max(2, lastsS / 0.2);
  const spread = Math.max(robustSd(rough?.residuals.slice(0, withers.length) ?? []), 0.003 * roughPx);
  const fit = fitWith(spread * Math.sqrt(Math.max(1, withers.length / looks)));
  if (!fit) return null;
  const [heightPx = 0, slope = 0, curve = 0] = fit.coefficients;
  const [heightSd = 0, slopeSd = 0, curveSd = 0] = fit.sds;
  const spreadF = Math.sqrt(withers.reduce((s, w) => s + (w.f - meanF) ** 2, 0) / withers.length);
  // A point's error may change along the pass; that looks like a slope.
  const driftSd = (0.5 * withersSdH * roughPx) / Math.max(spreadF, 1);
  return {
    view: { heightPx, atForwardPx: meanF, slope, curve, focalPx },
    sdPx: quadrature(heightSd, ground.sdPx, bobS === null ? 0.01 * roughPx : 0),
    slopeSd: Math.min(quadrature(slopeSd, ground.slopeSd, driftSd), (TAN_PRIOR_SD * roughPx) / focalPx),
    curveSd: Math.min(quadrature(curveSd, ground.curveSd), bendSd(roughPx)),
  };
}

/**
 * Relative SD of a length along the path between two places F: height, obliquity, bend, assumed focal length, and a
 * camera that was turned by an angle p: lengths at the ends, against heights, are 1 / cos p longer than a shift of the
 * picture says, and p is known as well as the focal length.
 */
export function lengthRelSd(scale: PassScale, fromF: number, toF: number): number {
  const lengthOf = (view: PathView): number => alongH(view, toF) - alongH(view, fromF);
  const view = scale.view;
  const base = lengthOf(view);
  if (!(base > 0)) return 1;
  const change = (part: Partial<PathView>): number => lengthOf({ ...view, ...part }) / base - 1;
  const half = scale.panPx / 2;
  const turn2 = half * half * (scale.lens ? scale.lens.kappaSd : view.focalPx ** -2);
  return quadrature(
    scale.heightRelSd,
    change({ slope: view.slope + scale.slopeSd }),
    change({ curve: view.curve + scale.curveSd }),
    change({ focalPx: view.focalPx * (1 + scale.focalSd) }),
    (Math.sqrt(1 + turn2) - 1) / Math.sqrt(3),
  );
}

/** How far the ground may have drifted over a stride, withers heights: the camera's motion is known to some SD only. */
export const groundDriftH = (data: SpanData, scale: PassScale, strideS: number): number =>
  (data.groundSdPx * Math.sqrt(strideS / Math.max(data.frameS, 1e-3))) / scale.view.heightPx;
