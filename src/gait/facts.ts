import { LIMBS, limbSide } from '../points.ts';
import type { Balance } from './balance.ts';
import type { HeadMeans, HeadPoint } from './head.ts';
import type { StrideMean } from './interval.ts';
import type { OvertrackPair, PrintAlong } from './lengths.ts';
import type { PointErrors } from './pointErrors.ts';
import type { ReasonCode } from './reasons.ts';
import type { PassScale } from './scale.ts';
import { seen, type SpanData } from './series.ts';
import type { Tempo } from './slowMotion.ts';
import type { FoundStance } from './stances.ts';
import type { GaitOptions } from './types.ts';

/** All that the measures of a pass are made of. */
export interface PassFacts {
  readonly data: SpanData;
  readonly stances: readonly FoundStance[];
  readonly duration: StrideMean | null;
  readonly tempo: Tempo;
  /** A duration was found in which the body goes no stride's length. */
  readonly stridesUnsure: boolean;
  /** Its errors of points are those at the blur of this pass. */
  readonly scale: PassScale | null;
  /** What they would be were it not blurred. */
  readonly sharpErrors: PointErrors;
  /** Blur of the horse, withers heights; null where it is not known. */
  readonly blurH: number | null;
  readonly balance: Balance;
  readonly prints: readonly PrintAlong[];
  readonly pairs: readonly OvertrackPair[];
  readonly headH: readonly HeadPoint[];
  readonly head: HeadMeans;
  readonly options: GaitOptions;
  /** The typed height and the one by a marked distance do not fit each other. */
  readonly heightsDisagree: boolean;
  readonly anotherLeftOut: boolean;
}

/** Why nothing can be said of the strides: hidden hooves, or too short a pass. */
export function whyNoStrides({ data, stridesUnsure }: PassFacts): ReasonCode {
  if (stridesUnsure) return 'stridesUnsure';
  const near = LIMBS.filter((limb) => limbSide(limb) === data.span.nearSide);
  const share =
    near.reduce((s, limb) => s + seen(data.hooves[limb]).length, 0) / (2 * Math.max(1, data.timesS.length));
  if (data.frameS > 1 / 8) return 'tooFewFrames';
  return share < 0.5 ? 'hoofHidden' : 'tooFewStrides';
}
