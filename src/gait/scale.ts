import { limbSide } from '../points.ts';
import { alongPerPx, heightAt, type PathView } from './geometry.ts';
import { regress, robustRegress, type Row } from './regression.ts';
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
  readonly focalSd: number;
  /** Half a base width over the distance: near hooves look larger, far ones smaller, by this share. */
  readonly nearShare: Estimate;
  /** Relative SD of the height at the withers in the picture. */
  readonly heightRelSd: number;
  /** D px of the ground in the mid-plane at a place F. */
  readonly groundD: (f: number) => number;
  readonly panPx: number;
}

/** Phones' main cameras: focal length 0.7 - 0.9 of the picture's long side (24 - 28 mm equivalent; common practice, no source). */
const FOCAL_SHARE = { value: 0.8, sd: 0.1 };
/** Base width over withers height at walk, and camera height over withers height: our assumptions, no source. */
const BASE_WIDTH_H = { value: 0.12, sd: 0.05 };
const CAMERA_HEIGHT_H = { value: 0.95, sd: 0.22 };
/** Ground or camera level within about 3 degrees. */
const LEVEL_SD = 0.05;
/** Networks place a point off by up to about 1 % of the height, all along (Niknejad et al. 2023, J ASABE 66:865). */
const POINT_BIAS_H = 0.01;
const TOE_BIAS_H = 0.005;
/** Before any measurement the path is thought to lie within about 8 degrees of the picture plane. */
const TAN_PRIOR_SD = 0.14;

/** Null where withers or prints were seen too little. */
export function passScale(
  data: SpanData,
  stances: readonly FoundStance[],
  roughPx: number,
  strideS: number | null,
): PassScale | null {
  const focalPx = FOCAL_SHARE.value * data.pictureLongPx;
  const ground = groundLine(data, stances, roughPx, focalPx);
  const heights = ground && withersHeights(data, ground, roughPx, strideS);
  if (!ground || !heights || heights.heightPx < 4) return null;
  const h0 = heights.heightPx - heights.slope * heights.meanF;
  if (h0 < 0.2 * heights.heightPx) return null;
  // Shrunk by its SD: a slope that can't be told from none isn't let in as noise.
  const tanSd = (heights.slopeSd * focalPx) / h0;
  const shrink = TAN_PRIOR_SD ** 2 / (TAN_PRIOR_SD ** 2 + tanSd ** 2);
  const slope = heights.slope * shrink;
  const view: PathView = { heightPx: heights.heightPx, atForwardPx: heights.meanF, slope, focalPx };
  return {
    view,
    tan: { value: -(slope * focalPx) / heightAt(view, 0), sd: tanSd * Math.sqrt(shrink) },
    slopeSd: heights.slopeSd * Math.sqrt(shrink),
    focalSd: FOCAL_SHARE.sd / FOCAL_SHARE.value,
    nearShare: nearShare(ground, heights.heightPx, focalPx),
    heightRelSd: quadrature(heights.sdPx / heights.heightPx, POINT_BIAS_H, TOE_BIAS_H),
    groundD: ground.at,
    panPx: data.panPx,
  };
}

interface GroundLine {
  readonly at: (f: number) => number;
  readonly slopeSd: number;
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
): GroundLine | null {
  if (stances.length === 0) return null;
  const centre = stances.reduce((s, st) => s + (st.print ?? st.rest).f, 0) / stances.length;
  const rows: Row[] = stances.map((stance) => {
    const place = stance.print ?? stance.rest;
    const side = limbSide(stance.limb) === data.span.nearSide ? 0.5 : -0.5;
    return { x: [1, place.f - centre, side], y: place.d, sd: quadrature(place.sdD, TOE_BIAS_H * roughPx) };
  });
  const expected = (roughPx * CAMERA_HEIGHT_H.value * BASE_WIDTH_H.value * roughPx) / focalPx;
  const fit = robustRegress([
    ...rows,
    { x: [0, 1, 0], y: 0, sd: LEVEL_SD },
    { x: [0, 0, 1], y: expected, sd: 0.6 * expected },
  ]);
  if (!fit) return null;
  const [level = 0, slope = 0, below = 0] = fit.coefficients;
  const [levelSd = 0, slopeSd = 0, belowSd = 0] = fit.sds;
  return {
    at: (f) => level + slope * (f - centre),
    slopeSd,
    sdPx: levelSd,
    nearBelowFar: { value: below, sd: belowSd },
  };
}

/** Half the base width over the distance, from how much lower near prints lie, and from what is usual. */
function nearShare(ground: GroundLine, heightPx: number, focalPx: number): Estimate {
  const usual = {
    value: (BASE_WIDTH_H.value * heightPx) / focalPx,
    sd: (BASE_WIDTH_H.sd * heightPx) / focalPx,
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

interface Heights {
  readonly heightPx: number;
  readonly sdPx: number;
  readonly slope: number;
  readonly slopeSd: number;
  readonly meanF: number;
}

/** Height at the withers against F, less the trunk's bob (twice a stride), so that it is that of whole strides. */
function withersHeights(
  data: SpanData,
  ground: GroundLine,
  roughPx: number,
  strideS: number | null,
): Heights | null {
  const withers = seen(data.points.withers);
  const first = withers[0];
  const last = withers[withers.length - 1];
  if (!first || !last || withers.length < 4) return null;
  const lastsS = last.timeS - first.timeS;
  const meanF = withers.reduce((s, w) => s + w.f, 0) / withers.length;
  const bob = strideS !== null && lastsS > 0.8 * strideS ? strideS / 2 : null;
  const rows = withers.map((w): Row => {
    const angle = bob === null ? 0 : (2 * Math.PI * (w.timeS - first.timeS)) / bob;
    const wave = bob === null ? [] : [Math.cos(angle), Math.sin(angle)];
    return { x: [1, w.f - meanF, ...wave], y: ground.at(w.f) - w.d, sd: w.sdPx };
  });
  const fit = robustRegress(rows) ?? regress(rows);
  if (!fit) return null;
  // Errors of neighbouring frames are alike: about one independent look every fifth of a second.
  const looks = Math.max(2, lastsS / 0.2);
  const residual = Math.max(robustSd(fit.residuals), 0.003 * roughPx);
  const spreadF = Math.sqrt(withers.reduce((s, w) => s + (w.f - meanF) ** 2, 0) / withers.length);
  const bobSd = bob === null ? 0.01 * roughPx : 0;
  return {
    heightPx: fit.coefficients[0] ?? 0,
    sdPx: quadrature(residual / Math.sqrt(looks), ground.sdPx, bobSd),
    slope: fit.coefficients[1] ?? 0,
    slopeSd: quadrature(
      residual / Math.sqrt(looks) / Math.max(spreadF, 1),
      ground.slopeSd,
      (POINT_BIAS_H * 0.5 * roughPx) / Math.max(spreadF, 1),
    ),
    meanF,
  };
}

/** Relative SD of a length along the path around a place F: height, obliquity, assumed focal length, camera turned. */
export function lengthRelSd(scale: PassScale, f: number): number {
  const base = alongPerPx(scale.view, f);
  const view = scale.view;
  const bySlope = alongPerPx({ ...view, slope: view.slope + scale.slopeSd }, f) / base - 1;
  const byFocal = alongPerPx({ ...view, focalPx: view.focalPx * (1 + scale.focalSd) }, f) / base - 1;
  // A camera turned by an angle p sees lengths at the end of the turn 1 / cos p longer than the still frame says.
  const turn = scale.panPx / 2 / view.focalPx;
  const byPan = (Math.sqrt(1 + turn * turn) - 1) / Math.sqrt(3);
  return quadrature(scale.heightRelSd, bySlope, byFocal, byPan);
}
