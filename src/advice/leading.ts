import type { CoursePass } from '../gait/course.ts';
import { AT_THE_SHOULDER, handlerAhead, type HandlerPlace, type LedFrame } from '../gait/handlerPlace.ts';
import { localPolynomial } from '../gait/localPolynomial.ts';
import { focalOf } from '../gait/scale.ts';
import { quadrature, type Estimate } from '../gait/statistics.ts';
import type { SidePass } from '../gait/types.ts';
import { FETLOCK, HOOF, isFore, KNEE_OR_HOCK, LIMBS, limbSide, type Limb } from '../points.ts';
import { MIN_SCORE } from '../track/settings.ts';
import type { Track } from '../track/types.ts';
import { isBeyond, spansBeyond, type Found, type Look } from './moments.ts';

/** Where the handler walks on the long side, and what is hidden by that. */

/** Half of the handler's own step, s; feet swing to and fro about the body within it. */
const STEP_S = 0.5;
const AHEAD_S = 0.6;
/** How well the middle between two ankles tells where a person is, lengths of the trunk: our estimate, no source. */
const FEET_SD = 0.06;
/** A handler walks about this far beside the middle of the horse, withers heights: our assumption, no source. */
const ASIDE_H = 0.55;

const within = (frames: readonly LedFrame[], { startS, endS }: SidePass): LedFrame[] =>
  frames.filter(({ timeS }) => timeS >= startS && timeS <= endS);

/**
 * How far the handler is in front of the point of shoulder in each frame of a pass, lengths of the trunk, behind it
 * negative. A handler beside the horse is nearer to the camera or farther, and off the picture's middle seems to be farther
 * from it or nearer: that is in the error.
 */
function shoulderLooks(frames: readonly LedFrame[], track: Track, pass: SidePass): Look[] {
  const inside = within(frames, pass);
  const longPx = Math.max(track.pictureWidthPx, track.pictureHeightPx);
  const distanceH = (focalOf(track.lens, longPx).value * longPx) / (pass.withersHeightPx ?? Infinity);
  const times = inside.map(({ timeS }) => timeS);
  const each = inside.map(handlerAhead);
  return inside.map(({ timeS, horse }, i): Look => {
    const fit = each[i] === null ? null : localPolynomial(times, each, timeS, STEP_S, 1);
    const { point_of_shoulder: shoulder, tailhead } = horse?.points ?? {};
    if (!fit || !shoulder || !tailhead) return { timeS, size: null };
    const offAxis = (shoulder.x - track.pictureWidthPx / 2) / (shoulder.x - tailhead.x);
    const sd = quadrature(FEET_SD, (offAxis * ASIDE_H) / Math.max(1, distanceH));
    return { timeS, size: { value: fit.value, sd } };
  });
}

const aheadsIn = (looks: readonly Look[]): Found[] =>
  spansBeyond(
    'handlerAhead',
    looks.map(({ timeS, size }) => ({ timeS, size: size && { ...size, value: Math.max(0, size.value) } })),
    AT_THE_SHOULDER,
    AHEAD_S,
  );

/** Where the handler is in front of the shoulder. */
export const handlerAheads = (frames: readonly LedFrame[], track: Track, pass: SidePass): Found[] =>
  aheadsIn(shoulderLooks(frames, track, pass));

export interface UsualHandler {
  readonly place: HandlerPlace;
  /** Of the frames that tell where the handler is. */
  readonly share: number;
  /** How many those are. */
  readonly frames: number;
}

const PLACES = ['ahead', 'at the shoulder', 'behind'] as const;
/** Of the frames of a pass, so many at least have to tell where the handler is. */
const LEAST_TOLD = 0.25;

const placeOf = (size: Estimate): HandlerPlace =>
  isBeyond(size, AT_THE_SHOULDER) ? (size.value > 0 ? 'ahead' : 'behind') : 'at the shoulder';

/**
 * Where the handler walks most of the time, by the same looks and the same limit as the moments in front of the shoulder:
 * one who is surely in front most of the time has such a moment. Null of no side pass, where too few frames tell, and of
 * one who was seen in front for no longer than a moment has to last.
 */
export function usualHandler(
  frames: readonly LedFrame[],
  track: Track,
  one: CoursePass,
): UsualHandler | null {
  if (one.kind !== 'side' || !one.pass) return null;
  const looks = shoulderLooks(frames, track, one.pass).filter(
    ({ timeS }) => timeS >= one.startS && timeS <= one.endS,
  );
  const told = looks.flatMap(({ size }) => (size ? [placeOf(size)] : []));
  const count = (place: HandlerPlace): number => told.filter((each) => each === place).length;
  const [place] = [...PLACES].sort((a, b) => count(b) - count(a));
  if (!place || told.length === 0 || told.length < LEAST_TOLD * looks.length) return null;
  if (place === 'ahead' && aheadsIn(looks).length === 0) return null;
  return { place, share: count(place) / told.length, frames: told.length };
}

/** Half the window over which missing looks are counted, s. */
const HIDDEN_WINDOW_S = 0.25;
const HIDDEN_S = 0.25;
/** Hooves of clips in which nobody is in the way are missing in 4 - 12 % of the pictures (Niknejad et al. 2023, J. ASABE 66:865). */
export const USUALLY_MISSING = 0.12;
const LEAST_LOOKS = 5;
/** Feet this near to a leg are at it, shares of the trunk's length. */
const AT_THE_LEG = 0.3;

/** Whether the hoof is missing while feet are at its leg: null where no leg or no trunk is seen. */
function isHidden({ horse, handlerFeet }: LedFrame, limb: Limb): boolean | null {
  const points = horse?.points ?? {};
  const { point_of_shoulder: shoulder, tailhead } = points;
  const leg =
    points[KNEE_OR_HOCK[limb]] ??
    points[FETLOCK[limb]] ??
    (isFore(limb) ? points.point_of_elbow : points.croup);
  if (!shoulder || !tailhead || !leg) return null;
  const near = AT_THE_LEG * Math.abs(shoulder.x - tailhead.x);
  const isMissing = (points[HOOF[limb]]?.score ?? 0) < MIN_SCORE;
  return isMissing && handlerFeet.some(({ x }) => Math.abs(x - leg.x) < near);
}

/** Where the handler walks between the camera and a near leg, so that its hoof is missing more often than is usual. */
export function hiddenLegs(frames: readonly LedFrame[], pass: SidePass): Found[] {
  const inside = within(frames, pass);
  return LIMBS.filter((limb) => limbSide(limb) === pass.nearSide).flatMap((limb) => {
    const each = inside.map((frame) => isHidden(frame, limb));
    const looks = inside.map(({ timeS }): Look => {
      const near = inside.flatMap((other, k) =>
        Math.abs(other.timeS - timeS) <= HIDDEN_WINDOW_S && each[k] !== null ? [each[k] === true] : [],
      );
      if (near.length < LEAST_LOOKS) return { timeS, size: null };
      const value = near.filter(Boolean).length / near.length;
      const sd = Math.sqrt(
        Math.max(value * (1 - value), USUALLY_MISSING * (1 - USUALLY_MISSING)) / near.length,
      );
      return { timeS, size: { value, sd } };
    });
    return spansBeyond('legsHidden', looks, USUALLY_MISSING, HIDDEN_S);
  });
}
