import { LIMBS, limbSide } from '../points.ts';
import type { Track } from '../track/types.ts';
import { blurredErrors } from './blur.ts';
import { balanceOf, NO_BALANCE } from './balance.ts';
import { applyEventCorrections } from './corrections.ts';
import { COMMON_SHAPE_SD_S } from './edges.ts';
import { degrees } from './geometry.ts';
import { heightByDistance } from './groundDistance.ts';
import { headMeans, headPoints } from './head.ts';
import { isMeasured, type StrideMean } from './interval.ts';
import {
  bodySpeedH,
  isStrideH,
  overtrackPairs,
  withoutExchanged,
  printAlong,
  type PrintAlong,
} from './lengths.ts';
import type { PassFacts } from './facts.ts';
import { isTooOblique, STICK_SD_M } from './lengthMeasures.ts';
import { passMeasures } from './measures.ts';
import { NETWORK_ERRORS } from './pointErrors.ts';
import type { ReasonCode } from './reasons.ts';
import { strideDuration } from './rhythm.ts';
import { groundDriftH, passScale, type PassScale } from './scale.ts';
import { findSidePasses } from './sidePasses.ts';
import { paceS, roughHeightPx, seen, spanData, type Span, type SpanData } from './series.ts';
import { tempoOf } from './slowMotion.ts';
import { findStances, midStancePrint, type FoundStance } from './stances.ts';
import { quadrature } from './statistics.ts';
import type { GaitOptions, SidePass, Stance } from './types.ts';

const SIDES = ['left', 'right'] as const;

/** A path nearer to the line of sight than to the picture is a way to or from the camera, though its side is seen. */
const MOST_ASIDE_DEG = 45;

/** Every side pass of a clip, in order of time. Empty where the horse never crosses the picture side-on. */
export function analyseTrack(track: Track, options: GaitOptions): SidePass[] {
  return analyseSides(track, findSidePasses(track), options);
}

/** The same of spans that were found. */
export function analyseSides(track: Track, spans: readonly Span[], options: GaitOptions): SidePass[] {
  return spans
    .map((span) => analyseSidePass(track, span, options))
    .filter(({ obliquityDeg }) => Math.abs(obliquityDeg ?? 0) <= MOST_ASIDE_DEG);
}

/** Hoof events, prints and scale of one side pass: all that its measures are made of. */
export function passFacts(track: Track, span: Span, given: GaitOptions): PassFacts {
  const data = spanData(track, span);
  const roughPx = roughHeightPx(data);
  const pace = roughPx === null ? 1 : paceS(data, roughPx);
  const found = roughPx === null ? [] : findStances(data, roughPx, pace);
  const stances = corrected(data, found, given, pace);
  const seenDuration = strideDuration(stances, span.nearSide, pace);
  const typed = checked(given);
  const sharpErrors = given.pointErrors ?? NETWORK_ERRORS;
  const blurH = roughPx === null || data.blurPx === null ? null : data.blurPx / roughPx;
  const errors = blurredErrors(sharpErrors, blurH);
  const aboutS = seenDuration?.value ?? null;
  const scale = roughPx === null ? null : passScale(data, stances, roughPx, aboutS, errors, typed.focalShare);
  const duration = isOneStride(data, scale, seenDuration) ? seenDuration : null;
  const strideS = duration?.value ?? null;
  const options = withHeight(typed, track, data, scale);
  const seenPrints = scale ? stances.flatMap((s) => printAlong(scale, s, span.nearSide) ?? []) : [];
  const balance = scale ? balanceOf(data, scale, seenPrints, strideS) : NO_BALANCE;
  const prints = seenPrints.map((p) => ({ ...p, value: p.value * balance.hooves }));
  const pairs =
    strideS === null ? [] : withoutExchanged(SIDES.flatMap((side) => overtrackPairs(prints, side, strideS)));
  const speedH = scale && bodySpeedH(data, scale, strideS);
  const headH = scale ? headPoints(data, scale) : [];
  return {
    data,
    stances,
    duration,
    tempo: tempoOf(duration, speedH),
    stridesUnsure: seenDuration !== null && duration === null,
    scale,
    sharpErrors,
    blurH,
    balance,
    prints,
    pairs,
    headH,
    head: headMeans(headH, strideS),
    options,
    heightsDisagree: disagree(options, typed),
    anotherLeftOut: track.anotherLeftOut ?? false,
  };
}

/**
 * One side pass: hoof events, prints, scale, and every measure with its interval or the reason why not.
 * The track is px of the still frame; lengths come out in metres when options.withersM is given.
 */
export function analyseSidePass(track: Track, span: Span, given: GaitOptions): SidePass {
  const facts = passFacts(track, span, given);
  const { data, stances, scale, prints, pairs, headH } = facts;
  const { measures, inWithersHeights, overtracks, isWalk } = passMeasures(facts);
  const { withersM: H, withersSdM } = facts.options;
  const out = new Map(stances.map((s) => [s, toStance(s, prints, data, H)]));
  const outOf = ({ stance }: PrintAlong): Stance => out.get(stance) ?? toStance(stance, prints, data, H);
  return {
    kind: 'side',
    ...span,
    measures,
    inWithersHeights,
    stances: [...out.values()],
    overtracks: pairs.map((p, i) => {
      const inM = overtracks[i]?.inM;
      const m = inM && isMeasured(inM) ? inM.value : null;
      return { side: p.side, fore: outOf(p.fore), hind: outOf(p.hind), m, ...overtracks[i] };
    }),
    head: headH.map((p) => scaleHead(p, H ?? 1)),
    headH,
    metresPerPx: scale && H !== null ? H / scale.view.heightPx : null,
    withersHeightPx: scale?.view.heightPx ?? null,
    withersM: H,
    ...(withersSdM === undefined ? {} : { withersSdM }),
    obliquityDeg: scale ? degrees(Math.atan(scale.tan.value)) : null,
    warnings: warningsOf(facts, isWalk),
  };
}

/** In one stride the body goes a stride's length: what doesn't is half a stride, or two. */
function isOneStride(data: SpanData, scale: PassScale | null, duration: StrideMean | null): boolean {
  const speed = scale && duration && bodySpeedH(data, scale, duration.value);
  return !speed || !duration || isStrideH(speed.value * duration.value);
}

const scaleHead = (p: SidePass['head'][number], by: number): SidePass['head'][number] => ({
  timeS: p.timeS,
  poll: p.poll * by,
  withers: p.withers * by,
  croup: p.croup === null ? null : p.croup * by,
});

/** A known distance on the ground tells the height at the withers; where it can't be read, the typed height stands. */
function withHeight(
  options: GaitOptions,
  track: Track,
  data: SpanData,
  scale: PassScale | null,
): GaitOptions {
  const known = options.groundDistance;
  const height = known && scale && heightByDistance(known, track, data, scale);
  return height ? { ...options, withersM: height.value, withersSdM: height.sd } : options;
}

/** Two heights that differ by more than twice the SD of both errors. */
const disagree = (used: GaitOptions, typed: GaitOptions): boolean =>
  used.withersM !== null &&
  typed.withersM !== null &&
  Math.abs(used.withersM - typed.withersM) > 2 * Math.hypot(used.withersSdM ?? 0, STICK_SD_M);

/** A height or focal length that can't be one counts as not given. */
export function checked(given: GaitOptions): GaitOptions {
  const { focalShare, ...rest } = given;
  const height = given.withersM;
  return {
    ...rest,
    withersM: height !== null && Number.isFinite(height) && height > 0 ? height : null,
    ...(focalShare !== undefined && focalShare > 0.1 && focalShare < 20 ? { focalShare } : {}),
  };
}

/** Edges set by hand move the window of mid-stance too, so the prints of those stances are taken anew. */
function corrected(
  data: SpanData,
  found: readonly FoundStance[],
  options: GaitOptions,
  pace: number,
): FoundStance[] {
  const corrections = options.eventCorrections ?? [];
  if (corrections.length === 0) return [...found];
  const strideS = strideDuration(found, data.span.nearSide, pace)?.value ?? pace;
  return applyEventCorrections(found, corrections, strideS, data.frameS).map((s) =>
    s.edited ? { ...s, print: midStancePrint(seen(data.hooves[s.limb]), s, 0.62 * strideS) } : s,
  );
}

function toStance(
  s: FoundStance,
  prints: readonly PrintAlong[],
  { centreXPx, span: { direction } }: SpanData,
  H: number | null,
): Stance {
  const along = prints.find((p) => p.stance === s);
  const place = s.print ?? s.rest;
  const sign = direction === 'right' ? 1 : -1;
  return {
    limb: s.limb,
    onS: s.on?.value ?? null,
    offS: s.off?.value ?? null,
    eventSdS: quadrature(COMMON_SHAPE_SD_S, Math.max(0, ...[s.on, s.off].flatMap((e) => e?.sd ?? []))),
    printPx: { x: centreXPx + sign * place.f, y: place.d },
    printM: along && H !== null ? along.value * H : null,
    printSdM: along && H !== null ? along.sd * H : null,
    printH: along ? along.value : null,
    printSdH: along ? along.sd : null,
    seenS: { from: s.on?.value ?? s.restS.fromS, to: s.off?.value ?? s.restS.toS },
    edited: s.edited,
  };
}

/** Slower clips can't time a hoof: a swing at walk lasts about 0.4 s. */
const LEAST_FPS = 12;
const OBLIQUE_WARNING_DEG = 15;

function warningsOf(facts: PassFacts, isWalk: boolean): ReasonCode[] {
  const { data, scale, duration } = facts;
  const warnings: ReasonCode[] = [];
  if (facts.heightsDisagree) warnings.push('heightsDisagree');
  if (facts.anotherLeftOut) warnings.push('anotherLeftOut');
  if (data.frameS > 1 / LEAST_FPS) warnings.push('tooFewFrames');
  if (scale === null) warnings.push('scaleUnsure');
  if (scale && isTooOblique(scale)) warnings.push('tooOblique');
  else if (scale && Math.abs(scale.tan.value) > Math.tan((OBLIQUE_WARNING_DEG * Math.PI) / 180))
    warnings.push('oblique');
  if (scale && groundDriftH(data, scale, duration?.value ?? 1.2) > 0.02) warnings.push('groundUnsure');
  if (facts.tempo !== 'usual') warnings.push('slowMotion');
  if (!isWalk) warnings.push('notAWalk');
  if (LIMBS.some((limb) => limbSide(limb) === data.span.nearSide && share(data, limb) < 0.6))
    warnings.push('hoofHidden');
  return warnings;
}

const share = (data: SpanData, limb: (typeof LIMBS)[number]): number =>
  seen(data.hooves[limb]).length / Math.max(1, data.timesS.length);
