import type { Limb, Side } from '../points.ts';
import type { ClipPass } from './passKinds.ts';
import type { PointErrors } from './pointErrors.ts';
import type { ReasonCode } from './reasons.ts';

/** A value with its 95 % interval; n strides went into it. */
export interface Measured {
  readonly value: number;
  readonly low: number;
  readonly high: number;
  readonly n: number;
  readonly side: Side | 'both';
}
export interface NotMeasured {
  readonly reason: ReasonCode;
}
export type Measure = Measured | NotMeasured;

export const MEASURE_NAMES = [
  'strideLengthM',
  'strideDurationS',
  'cadencePerMin',
  'speedMps',
  'overtrackM',
  'lateralLagFraction',
  'dutyFactorFore',
  'dutyFactorHind',
  'headAboveWithersM',
  'headNodM',
  'croupAboveWithersM',
  'froude',
] as const;
export type MeasureName = (typeof MEASURE_NAMES)[number];

/**
 * Every measure of a pass. Phases go round: lateralLagFraction and limbPhaseFraction have their value in [0, 1), but
 * the bounds of the interval around it may pass 0 or 1. limbPhaseFraction counts from the hoof-on of the left hind,
 * so that LH is 0 by definition, with no error of its own.
 */
export type Measures = Readonly<Record<MeasureName, Measure>> & {
  readonly limbPhaseFraction: Readonly<Record<Limb, Measure>>;
};

/** One stance of one hoof. Track px are of the still frame; M of the track frame (x along travel). */
export interface Stance {
  readonly limb: Limb;
  /** Null where the stance began or ended outside the clip. */
  readonly onS: number | null;
  readonly offS: number | null;
  readonly eventSdS: number;
  /** Print: where the toe tip stands in mid-stance, px of the still frame. */
  readonly printPx: { readonly x: number; readonly y: number };
  /** Along the direction of travel, m; null without a scale. */
  readonly printM: number | null;
  readonly printSdM: number | null;
  /** The same in withers heights, typed or not; null without a scale. */
  readonly printH?: number | null;
  readonly printSdH?: number | null;
  /** First and last moment of the stance that was seen, s: the edges where they are known. */
  readonly seenS?: { readonly from: number; readonly to: number };
  readonly edited: boolean;
}

/** A hoof-on or hoof-off time set by hand; it replaces the found edge nearest to foundS. */
export interface EventCorrection {
  readonly kind: 'event';
  readonly id: string;
  readonly limb: Limb;
  readonly edge: 'on' | 'off';
  readonly foundS: number;
  readonly timeS: number;
}

export interface HeadSample {
  readonly timeS: number;
  /** Heights above the ground, m; H units when no withers height was given. */
  readonly poll: number;
  readonly withers: number;
  readonly croup: number | null;
}

export interface SidePass {
  readonly kind: 'side';
  readonly direction: Side;
  readonly startS: number;
  readonly endS: number;
  /** The side of the horse that the camera sees. */
  readonly nearSide: Side;
  readonly measures: Measures;
  readonly stances: readonly Stance[];
  /**
   * From a fore print to the next hind print of the same side, m, null where inM is refused; inM and inH (withers
   * heights) are each this one overtrack with its own 95 % interval, not that of the mean.
   */
  readonly overtracks: readonly {
    readonly side: Side;
    readonly fore: Stance;
    readonly hind: Stance;
    readonly m: number | null;
    readonly inM?: Measure;
    readonly inH?: Measure;
  }[];
  readonly head: readonly HeadSample[];
  /** The same in withers heights, typed or not. */
  readonly headH?: readonly HeadSample[];
  /** Metres per px of the still frame at mid-pass; null when no withers height was given. */
  readonly metresPerPx: number | null;
  readonly withersHeightPx: number | null;
  /** Height at the withers that the lengths rest on, m: typed in, or by a known distance on the ground. */
  readonly withersM: number | null;
  /** SD of that height, m, where it is not that of a stick. */
  readonly withersSdM?: number;
  /** Angle of the path to the picture plane, degrees, and its SD. */
  readonly obliquityDeg: number | null;
  /** Lengths that need no typed height, in withers heights. */
  readonly inWithersHeights: {
    readonly strideLengthH: Measure;
    readonly overtrackH: Measure;
    readonly headAboveWithersH?: Measure;
    readonly headNodH?: Measure;
    readonly croupAboveWithersH?: Measure;
  };
  readonly warnings: readonly ReasonCode[];
}

/**
 * How far a point of the head is to the left of the body's line, and shares of the time beyond a tolerance to either
 * side; these only where it was seen and there is a scale.
 */
export interface HeadAside {
  readonly asideM: Measure;
  readonly leftShare?: number;
  readonly rightShare?: number;
}

/**
 * Of a pass away from the camera or back to it. Left and right are the horse's own. Drift: of the body's line from the
 * camera's axis, degrees to the left; RMS: distance of the body's middle from the straight line.
 */
export interface LineMeasures {
  readonly pathDriftDeg: Measure;
  readonly pathRmsM: Measure;
  /** From right to left prints. */
  readonly baseWidthForeM: Measure;
  readonly baseWidthHindM: Measure;
  /** Hind print to the left of the fore print of its side. */
  readonly hindOnForeM: Readonly<Record<Side, Measure>>;
  /** Largest departure of the swinging hoof from the line between its prints, outward positive. */
  readonly swingOutM: Readonly<Record<Limb, Measure>>;
  readonly head: { readonly toleranceM: number; readonly poll: HeadAside; readonly muzzle: HeadAside };
}

/**
 * What a pass away or back is drawn from, m. Along: the way that the horse goes, on the straight line that fits its way
 * best; left: to the horse's left, of that line in `prints` and `body`, of the line between its prints in `swings`, of the
 * body's line in `head`.
 */
export interface LinePlot {
  readonly prints: readonly {
    readonly limb: Limb;
    readonly onS: number;
    readonly offS: number;
    readonly alongM: number;
    readonly leftM: number;
  }[];
  /** The middle of the body in each frame: the line that it follows. */
  readonly body: readonly { readonly timeS: number; readonly alongM: number; readonly leftM: number }[];
  /** Each swing of each hoof; heights above the ground are rough. */
  readonly swings: Readonly<
    Record<
      Limb,
      readonly (readonly { readonly timeS: number; readonly leftM: number; readonly upM: number }[])[]
    >
  >;
  /** Null where a point was not surely seen. */
  readonly head: readonly {
    readonly timeS: number;
    readonly pollLeftM: number | null;
    readonly muzzleLeftM: number | null;
  }[];
}

export interface LinePass {
  readonly kind: 'away' | 'towards';
  readonly startS: number;
  readonly endS: number;
  readonly measures: LineMeasures;
  /** Only where there are lengths. */
  readonly plot?: LinePlot;
}

/** Two marks on the ground a known distance apart; picture px of the frame at timeS. */
export interface GroundDistance {
  readonly kind: 'distance';
  readonly id: string;
  readonly timeS: number;
  readonly from: { readonly x: number; readonly y: number };
  readonly to: { readonly x: number; readonly y: number };
  readonly distanceM: number;
}

/** All passes of a clip as set by hand: they count instead of those found. */
export interface GivenPasses {
  readonly kind: 'passes';
  readonly id: string;
  /** The moment that was shown as they were set. */
  readonly timeS: number;
  readonly spans: readonly ClipPass[];
}

export interface GaitOptions {
  /** Height at the withers with a stick, m; null when not given. */
  readonly withersM: number | null;
  /** SD of that height, m. */
  readonly withersSdM?: number;
  /** Gives the scale instead of the typed height, where it can be read. */
  readonly groundDistance?: GroundDistance;
  readonly eventCorrections?: readonly EventCorrection[];
  /** Focal length as a share of the picture's long side, where the camera is known; a phone's is assumed otherwise. */
  readonly focalShare?: number;
  /** How far off points are seen; those of the network that ships, on real horses, where not given. */
  readonly pointErrors?: PointErrors;
}
