import { blurPxOf, harmfulBlurH } from '../gait/blur.ts';
import type { PassFacts } from '../gait/facts.ts';
import { degrees } from '../gait/geometry.ts';
import { isMeasured } from '../gait/interval.ts';
import { isTooOblique } from '../gait/lengthMeasures.ts';
import { lineData, nearEnd, roughHeights, type LineData } from '../gait/lineView.ts';
import type { ReasonCode } from '../gait/reasons.ts';
import { CAMERA_HEIGHT_H, groundDriftH, type PassScale } from '../gait/scale.ts';
import { isGroundLost } from '../gait/series.ts';
import { medianOf, quadrature, type Estimate } from '../gait/statistics.ts';
import type { GaitOptions, LinePass, Measure, SidePass } from '../gait/types.ts';
import { HOOF, LIMBS, limbSide } from '../points.ts';
import type { Track } from '../track/types.ts';
import { distanceH, picturesPerS, seenShare, type Costed } from './budget.ts';
import { USUALLY_MISSING } from './leading.ts';
import { isBeyond, isLarge } from './moments.ts';
import { WANTED } from './wanted.ts';

/** What can be wrong with a take; of those besides `Costed` the core has no term. */
export type TakeCause = Costed | 'notLevel' | 'withersMissing' | 'noScale';

/**
 * One thing that falls short, and how large it is:
 *
 * - oblique: angle of the path to the picture, or on a way away or back to the line of sight, degrees
 * - bent: by what share the horse's size departs from an even change two withers heights off the middle; on a way away
 *   or back its RMS distance from the straight line, m
 * - tilted: how much farther the trunk seems to go than the hooves, as a share: the camera looks down or up
 * - notLevel: the ground falls to the way that the horse goes, degrees: the camera leans, or the ground does
 * - tooNear: distance of the camera, withers heights
 * - small: height in the picture, px: at the withers, of a horse that walks away at the croup
 * - blurred: SD of the horse's blur, px
 * - fewPictures: pictures a second
 * - legsHidden: share of the pictures in which the worse of the two near hooves is missing
 * - groundLost: how far the ground may have drifted in a stride, withers heights
 * - fewStrides: strides that the overtrack rests on, on a way away or back the base width in front
 */
export interface Fault {
  readonly cause: TakeCause;
  readonly size: Estimate | null;
  /** For want of this no lengths are given. */
  readonly refuses: boolean;
}

const exactly = (value: number): Estimate => ({ value, sd: 0 });

/** Within this a path is square enough, degrees: what the core takes for usual before it looks. */
const SQUARE_DEG = 8;
const LEVEL_DEG = 3;
/** The size departs by this share from an even change, two withers heights off: likewise. */
const STRAIGHT_SHARE = 0.04;
const STRAIGHT_M = 0.15;
/** So much farther the trunk may seem to go than the hooves. */
const TILTED_SHARE = 0.02;
/** Nearer than this is too near, withers heights: 8 m for a horse of 1.6 m; common practice, no source. */
const NEAR_H = 5;
/** No sharp picture blurs edges more than this, px: eight filmed clips, 2208 px wide, do by .8 - 1.4. */
const SHARP_PX = 1.4;
/** Half of the phones' 60 is 30; in some lands they take 50. */
const ENOUGH_PICTURES = 48;
/** From this drift on the core warns. */
const DRIFT_H = 0.02;

const obliquityOf = ({ tan }: PassScale): Estimate => ({
  value: degrees(Math.atan(tan.value)),
  sd: degrees(tan.sd / (1 + tan.value ** 2)),
});

/** Of the ground line without what a horse that comes nearer makes of it: the camera's height is known to some SD. */
function leanOf({ groundD, view, slopeSd }: PassScale): Estimate {
  const at = view.atForwardPx;
  const slope = (groundD(at + 1) - groundD(at - 1)) / 2;
  const value = slope - CAMERA_HEIGHT_H.value * view.slope;
  const sd = quadrature(slopeSd, CAMERA_HEIGHT_H.sd * view.slope);
  return { value: degrees(Math.atan(value)), sd: degrees(sd) };
}

const bendOf = ({ view, curveSd }: PassScale): Estimate => ({
  value: 4 * view.curve * view.heightPx,
  sd: 4 * curveSd * view.heightPx,
});

const missingShare = (share: number, looks: number): Estimate => ({
  value: 1 - share,
  sd: Math.sqrt((share * (1 - share)) / Math.max(1, looks)),
});

type Checked = readonly [TakeCause, Estimate, boolean];

const smallness = (heightPx: number): Checked => ['small', exactly(heightPx), heightPx < WANTED.heightPx];

/** Nothing is said of a blur that costs nothing, nor of a sharp horse that is only small. */
const blurring = (blurPx: number | null, heightPx: number): Checked => [
  'blurred',
  exactly(blurPx ?? 0),
  blurPx !== null && blurPx > SHARP_PX && harmfulBlurH(blurPx / heightPx) > 0,
];

/** Faults that need a scale; of strides that are no walk trunk and hooves are not held against each other. */
function scaledFaults(facts: PassFacts, scale: PassScale, isWalk: boolean): Checked[] {
  const oblique = obliquityOf(scale);
  const near = { value: distanceH(scale), sd: distanceH(scale) * scale.focalSd };
  const drift = groundDriftH(facts.data, scale, facts.duration?.value ?? 1.2);
  const { found } = facts.balance;
  const [lean, bend] = [leanOf(scale), bendOf(scale)];
  return [
    ['oblique', oblique, isTooOblique(scale) || isLarge(oblique, SQUARE_DEG)],
    ['notLevel', lean, isLarge(lean, LEVEL_DEG)],
    ['bent', bend, isLarge(bend, STRAIGHT_SHARE)],
    ['tilted', found, isWalk && isLarge(found, TILTED_SHARE)],
    ['tooNear', near, near.value + 1.96 * near.sd < NEAR_H],
    smallness(scale.view.heightPx),
    blurring(facts.data.blurPx, scale.view.heightPx),
    ['groundLost', exactly(drift), drift > DRIFT_H],
  ];
}

/** What it is that a missing overtrack wants. */
const WANTS: Readonly<Partial<Record<ReasonCode, TakeCause>>> = {
  tooOblique: 'oblique',
  groundUnsure: 'groundLost',
  hoofHidden: 'legsHidden',
  tooFewFrames: 'fewPictures',
  tooFewStrides: 'fewStrides',
  withersHeightMissing: 'withersMissing',
  scaleUnsure: 'noScale',
};

const wanted = (measure: Measure): TakeCause | null =>
  isMeasured(measure) ? null : (WANTS[measure.reason] ?? null);

/** Faults that were found, and those for want of which a measure is refused. */
function faultsOf(checked: readonly Checked[], refused: readonly (TakeCause | null)[]): Fault[] {
  const found = checked
    .filter(([cause, , holds]) => holds || refused.includes(cause))
    .map(([cause, size]): Fault => ({ cause, size, refuses: refused.includes(cause) }));
  const others = refused.filter((cause) => cause !== null && !found.some((fault) => fault.cause === cause));
  return [
    ...found,
    ...[...new Set(others)].flatMap((cause): Fault[] =>
      cause ? [{ cause, size: null, refuses: true }] : [],
    ),
  ];
}

/** What falls short in the filming of a side pass. */
export function sideFaults(facts: PassFacts, pass: SidePass): Fault[] {
  const { data, scale, options } = facts;
  const near = LIMBS.filter((limb) => limbSide(limb) === data.span.nearSide);
  const share = Math.min(...near.map((limb) => seenShare(facts, limb)));
  const missing = missingShare(share, data.timesS.length);
  const { overtrackH } = pass.inWithersHeights;
  const strides = isMeasured(overtrackH) ? overtrackH.n : 0;
  const checked: Checked[] = [
    ...(scale ? scaledFaults(facts, scale, !pass.warnings.includes('notAWalk')) : []),
    ['fewPictures', exactly(picturesPerS(facts)), picturesPerS(facts) < ENOUGH_PICTURES],
    ['legsHidden', missing, isBeyond(missing, USUALLY_MISSING)],
    ['fewStrides', exactly(strides), strides > 0 && strides < WANTED.strides],
  ];
  const missingHeight = options.withersM === null ? ('withersMissing' as const) : null;
  return faultsOf(checked, [wanted(overtrackH), missingHeight]);
}

/** The share of the frames in which the worse hoof of the near end is seen. */
function nearEndSeen({ points, span, timesS }: LineData): number {
  const seen = nearEnd(span).limbs.map((limb) => points[HOOF[limb]].filter((p) => p !== null).length);
  return Math.min(...seen) / Math.max(1, timesS.length);
}

/** What falls short in the filming of a pass away or back. */
export function lineFaults(track: Track, pass: LinePass, { withersM }: GaitOptions): Fault[] {
  const { kind, startS, endS, measures } = pass;
  const data = lineData(track, { kind, startS, endS });
  const estimate = (m: Measure): Estimate =>
    isMeasured(m) ? { value: m.value, sd: (m.high - m.value) / 1.96 } : exactly(0);
  const [drift, bend] = [estimate(measures.pathDriftDeg), estimate(measures.pathRmsM)];
  const heightPx = medianOf(roughHeights(data).flatMap((px) => px ?? []));
  const missing = missingShare(nearEndSeen(data), data.timesS.length);
  const frames = data.timesS.length;
  const fps = (frames - 1) / Math.max(1e-3, endS - startS);
  const at = track.timesS.flatMap((s, i) => (s >= startS && s <= endS ? [i] : []));
  const strides = isMeasured(measures.baseWidthForeM) ? measures.baseWidthForeM.n / 2 : 0;
  const checked: Checked[] = [
    ['oblique', drift, isLarge(drift, SQUARE_DEG)],
    ['bent', bend, isLarge(bend, STRAIGHT_M)],
    ...(heightPx === null ? [] : [smallness(heightPx), blurring(blurPxOf(track, at), heightPx)]),
    ['legsHidden', missing, isBeyond(missing, USUALLY_MISSING)],
    ['fewPictures', exactly(fps), fps < ENOUGH_PICTURES / 2],
    ['fewStrides', exactly(strides), strides > 0 && strides < WANTED.strides],
    ['groundLost', exactly(0), isGroundLost(track, at)],
  ];
  const missingHeight = withersM === null ? ('withersMissing' as const) : null;
  return faultsOf(checked, [wanted(measures.pathDriftDeg), missingHeight]);
}
