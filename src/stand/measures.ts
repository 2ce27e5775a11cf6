/** The measures of a horse that stands for its photograph, with intervals. Conventions: places.ts, types.ts. */
import { STICK_SD_M } from '../gait/lengthMeasures.ts';
import { quadrature } from '../gait/statistics.ts';
import { LIMBS, type Side } from '../points.ts';
import { obliqueOf, WARN_DEG, type Oblique } from './oblique.ts';
import type { StandPoints } from './places.ts';
import {
  ANGLES,
  LENGTHS,
  quantitiesOf,
  type AngleName,
  type LengthName,
  type QuantityName,
} from './quantities.ts';
import type { StandNote, StandReason } from './reasons.ts';
import { frameOf, usualOblique, usualScene } from './scene.ts';
import { spreadOf, type Spread } from './spread.ts';
import type { Lengths, Pair, Stand, StandMeasure, StandMeasures, StandOptions } from './types.ts';

/** An angle known no better than this tells nothing: its points lie in one place. */
const WORST_DEG = 90;

const isTyped = (withersM: number | null): withersM is number =>
  withersM !== null && Number.isFinite(withersM) && withersM > 0;

const refused = (reason: StandReason): { reason: StandReason } => ({ reason });

function measure(value: number, sd: number, notes: readonly StandNote[] = []): StandMeasure {
  const half = 1.96 * sd;
  if (!Number.isFinite(value) || !Number.isFinite(half)) return refused('pointHidden');
  return { value, low: value - half, high: value + half, notes };
}

type Known = (name: QuantityName) => { value: number; sd: number } | null;

/** A length in withers heights, or in metres with the stick's error. */
function lengthOf(known: Known, otherwise: StandReason, withers: { m: number; sdM: number } | null) {
  return (name: LengthName): StandMeasure => {
    const one = known(name);
    if (!one) return refused(otherwise);
    if (!withers) return measure(one.value, one.sd);
    return measure(one.value * withers.m, quadrature(one.sd * withers.m, one.value * withers.sdM));
  };
}

function lengthsOf<Unit extends 'M' | 'H'>(
  unit: Unit,
  nearSide: Side,
  of: (name: LengthName) => StandMeasure,
): Lengths<Unit> {
  const both = (near: StandMeasure): Record<Side, StandMeasure> => {
    const far = refused('farSide');
    return nearSide === 'left' ? { left: near, right: far } : { left: far, right: near };
  };
  const entries = LENGTHS.map((name) => [
    `${name}${unit}`,
    name === 'shoulderAheadOfToe' ? both(of(name)) : of(name),
  ]);
  return Object.fromEntries(entries) as Lengths<Unit>;
}

function anglesOf(known: Known, nearSide: Side, otherwise: StandReason) {
  const notes = new Map(quantitiesOf(nearSide).map((q) => [q.name, q.notes]));
  const of = (name: AngleName): StandMeasure => {
    const one = known(name);
    if (!one) return refused(otherwise);
    return 1.96 * one.sd > WORST_DEG ? refused('pointsUnsure') : measure(one.value, one.sd, notes.get(name));
  };
  const all = Object.fromEntries(ANGLES.map((name) => [name, of(name)])) as Record<AngleName, StandMeasure>;
  const two = (name: 'foreCannonLeanDeg' | 'hockToFetlockLeanDeg') => ({
    left: all[`${name}.left`],
    right: all[`${name}.right`],
  });
  const pasterns = LIMBS.map((limb) => [limb, all[`fetlockToToeSlopeDeg.${limb}`]]);
  return {
    foreCannonLeanDeg: two('foreCannonLeanDeg'),
    hockToFetlockLeanDeg: two('hockToFetlockLeanDeg'),
    fetlockToToeSlopeDeg: Object.fromEntries(pasterns) as StandMeasures['fetlockToToeSlopeDeg'],
    shoulderSlopeDeg: all.shoulderSlopeDeg,
    neckSlopeDeg: all.neckSlopeDeg,
    faceSlopeDeg: all.faceSlopeDeg,
  };
}

/** Which hoof stands back, where the interval says so. */
function pairOf(leftAhead: StandMeasure, nearSide: Side): Pair {
  if ('reason' in leftAhead || (leftAhead.low <= 0 && leftAhead.high >= 0))
    return { back: null, isBackNear: null };
  const back = leftAhead.value > 0 ? 'right' : 'left';
  return { back, isBackNear: back === nearSide };
}

const obliqueMeasure = (oblique: Oblique | null): StandMeasure =>
  oblique
    ? { value: oblique.deg, low: oblique.lowDeg, high: oblique.highDeg, notes: [] }
    : refused('scaleUnsure');

const NOT_BY_POINTS = {
  hockAngleDeg: { left: refused('noStifle'), right: refused('noStifle') },
  bodyLengthM: refused('noButtock'),
  girthDepthM: refused('noOutline'),
  throatThicknessM: refused('noOutline'),
} as const;

/**
 * All measures of a stand that the 21 points allow.
 *
 * @param points px of the picture (x right, y down), of one frame or the mean of several frames of one still stand;
 *   missing ones absent, null or not finite.
 * @param withersM height at the withers with a stick, m; null: lengths are given in withers heights alone.
 * @returns every measure as value with 95 % interval, or a reason; never NaN. The interval adds up, as squares, the errors
 *   of points (errors.ts), how the horse stood before the camera, how high and how wide the lens is, how far apart hooves
 *   and shoulders are (scene.ts), and of lengths in m the stick. A point seen on the wrong leg is not allowed for.
 */
export function standMeasures(points: StandPoints, withersM: number | null, options: StandOptions): Stand {
  const { nearSide } = options;
  const frame = frameOf(options);
  const scene = usualScene(options);
  const oblique = obliqueOf(points, frame, scene, usualOblique(options));
  const spread: Spread | null = oblique && spreadOf(points, frame, scene, oblique, options);
  const known: Known = (name) => spread?.known[name] ?? null;
  const otherwise: StandReason = spread ? 'pointHidden' : 'scaleUnsure';
  const sdM = options.withersSdM ?? STICK_SD_M;
  const inM = isTyped(withersM)
    ? lengthOf(known, otherwise, { m: withersM, sdM })
    : () => refused('withersHeightMissing');
  const inWithersHeights = lengthsOf('H', nearSide, lengthOf(known, otherwise, null));
  return {
    nearSide,
    withersM: isTyped(withersM) ? withersM : null,
    measures: {
      ...lengthsOf('M', nearSide, inM),
      ...anglesOf(known, nearSide, otherwise),
      cameraObliqueDeg: obliqueMeasure(spread && oblique),
      ...NOT_BY_POINTS,
    },
    inWithersHeights,
    forePair: pairOf(inWithersHeights.foreLeftAheadH, nearSide),
    hindPair: pairOf(inWithersHeights.hindLeftAheadH, nearSide),
    oblique: spread && oblique,
    ground: spread && spread.ground,
    warnings: spread && oblique && oblique.sizeDeg > WARN_DEG ? ['oblique'] : [],
  };
}
