import type { Estimate } from '../gait/statistics.ts';
import type { Limb, PointName, Side } from '../points.ts';
import type { StandErrors } from './errors.ts';
import type { Oblique } from './oblique.ts';
import type { Ground } from './places.ts';
import type { StandNote, StandReason, StandWarning } from './reasons.ts';

/** A value with its 95 % interval, in the unit that its name ends in, and what to say beside it. */
export interface StandValue {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly notes: readonly StandNote[];
}
export interface StandRefused {
  readonly reason: StandReason;
}
export type StandMeasure = StandValue | StandRefused;

type Two = Readonly<Record<Side, StandMeasure>>;

/** Lengths under one unit: M metres (need the typed height), H heights at the withers. */
export type Lengths<Unit extends 'M' | 'H'> = Readonly<
  Record<
    | `croupAboveWithers${Unit}`
    /** How far the left hoof of the pair stands ahead of the right one: 0 = square. */
    | `foreLeftAhead${Unit}`
    | `hindLeftAhead${Unit}`
    /** Poll above the ground, and above the withers. */
    | `pollHeight${Unit}`
    | `pollAboveWithers${Unit}`
    /** Level, from the point of shoulder to where the dock leaves the outline: not the body length of the trade. */
    | `shoulderToTailhead${Unit}`,
    StandMeasure
  >
> &
  /** Point of shoulder ahead of the toe of the fore hoof of the same side; leaning over the shoulder where it is large. */
  Readonly<Record<`shoulderAheadOfToe${Unit}`, Two>>;

/**
 * Left and right are the horse's own. Leans are from upright, positive where the upper end lies ahead; slopes from level,
 * 0 - 90 where the line leans the usual way: pastern and shoulder rise backwards, neck rises forwards, face falls forwards.
 */
export interface StandMeasures extends Lengths<'M'> {
  /** Knee against fetlock. */
  readonly foreCannonLeanDeg: Two;
  /** Point of hock against fetlock: see the note. */
  readonly hockToFetlockLeanDeg: Two;
  /** Toe tip to the centre of the fetlock joint: some 7 degrees less than the pastern's own axis on the drawn horse. */
  readonly fetlockToToeSlopeDeg: Readonly<Record<Limb, StandMeasure>>;
  /** Point of shoulder to withers, withers to poll, poll to muzzle. */
  readonly shoulderSlopeDeg: StandMeasure;
  readonly neckSlopeDeg: StandMeasure;
  readonly faceSlopeDeg: StandMeasure;
  readonly cameraObliqueDeg: StandMeasure;
  /** What the points do not allow, each with its reason. */
  readonly hockAngleDeg: Two;
  readonly bodyLengthM: StandRefused;
  readonly girthDepthM: StandRefused;
  readonly throatThicknessM: StandRefused;
}

/** Which hoof of a pair stands back; null where that is not sure. */
export interface Pair {
  readonly back: Side | null;
  /** Whether that is the side towards the camera. */
  readonly isBackNear: boolean | null;
}

export interface Stand {
  readonly nearSide: Side;
  readonly withersM: number | null;
  readonly measures: StandMeasures;
  /** The same lengths without a typed height. */
  readonly inWithersHeights: Lengths<'H'>;
  readonly forePair: Pair;
  /** Open towards the viewer where the near one stands back. */
  readonly hindPair: Pair;
  readonly oblique: Oblique | null;
  /** Scale and ground line in the picture, px; null where there is no scale. */
  readonly ground: Ground | null;
  readonly warnings: readonly StandWarning[];
}

export interface StandOptions {
  /** The side of the horse that is seen: it faces the same way in the picture. */
  readonly nearSide: Side;
  /** The whole picture, as the camera took it. */
  readonly pictureWidthPx: number;
  readonly pictureHeightPx: number;
  /** x of the camera's axis; the picture's middle where not given. */
  readonly centreXPx?: number;
  /** SD of the typed height, m: a stick's where not given. */
  readonly withersSdM?: number;
  /** Focal length as a share of the picture's long side; that of phones where not given. */
  readonly focalShare?: Estimate;
  /**
   * What is known beforehand of how far off square the camera looked, degrees, positive with the forehand nearer: of someone
   * who lined it up, {0, 3}, say. Most of the width of the intervals of hooves and lengths hangs on it. SD at least .5.
   */
  readonly obliqueDeg?: Estimate;
  /** Number of independent looks that the points are the mean of: 1 for a photograph. */
  readonly looks?: number;
  /** Points put right by hand. */
  readonly byHand?: readonly PointName[];
  /** How far off points are seen; those of the network that ships where not given. */
  readonly errors?: StandErrors;
}
