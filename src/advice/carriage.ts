import { HEAD_TOLERANCE_M, headPlaces } from '../gait/lineMeasures.ts';
import { seenLine } from '../gait/linePass.ts';
import { BODY_ASIDE_H, type LinePath } from '../gait/linePath.ts';
import type { LineData, LineSpan } from '../gait/lineView.ts';
import { localPolynomial } from '../gait/localPolynomial.ts';
import { isMeasured } from '../gait/interval.ts';
import { NETWORK_ERRORS } from '../gait/pointErrors.ts';
import { medianOf, quadrature, type Estimate } from '../gait/statistics.ts';
import type { SidePass } from '../gait/types.ts';
import type { Side } from '../points.ts';
import type { LedFrame } from '../gait/handlerPlace.ts';
import type { Track } from '../track/types.ts';
import { spansBeyond, type Found, type Look } from './moments.ts';

/** How the head is carried: to one side on the ways away and back, high on the long side. */

/** The hand's breadth within which a head counts as straight, of a horse of 1.6 m. */
const STRAIGHT_H = HEAD_TOLERANCE_M / 1.6;
/** A head sways to and fro with each stride, within half of it: what lasts longer is turned. Our choice, no source. */
const TURNED_S = 0.7;
const TURNED_WINDOW_S = 0.2;
/** How far a point of the head is seen aside, and the body's line with it, H. */
const asideSdH = ({ kind }: LineSpan): number => quadrature(NETWORK_ERRORS.toeForward, BODY_ASIDE_H[kind]);

/**
 * At the end of a pass the head is where the body never came to: the body's line is only thought on, and may bend by
 * this much, radians: a horse that wavers by .15 m over 4.5 m bends by .2.
 */
const BEND_SD_RAD = 0.12;

/** How far a point of the head lies to the left of the body's line in each frame, smoothed, H. */
function asides(data: LineData, path: LinePath, point: 'poll' | 'muzzle'): (Estimate | null)[] {
  const lastS = data.timesS[data.timesS.length - 1] ?? 0;
  const endAlong = path.placeOf({ timeS: lastS, x: 0 }, 'middle').along;
  const places = headPlaces(data, path, point);
  const each = places.map((place) => place && path.asideH(place));
  return places.map((place, i) => {
    const fit = place && localPolynomial(data.timesS, each, data.timesS[i] ?? 0, TURNED_WINDOW_S, 1);
    if (!fit) return null;
    const beyond = Math.max(0, place.along - endAlong);
    return { value: fit.value, sd: quadrature(asideSdH(data.span), BEND_SD_RAD * beyond) };
  });
}

/** The side of the horse on which the feet of the handler are seen most of the time; null where they aren't. */
function handlerSide(frames: readonly LedFrame[], { kind, startS, endS }: LineSpan): Side | null {
  const toRight = frames.flatMap(({ timeS, horse, handlerFeet }) => {
    const [withers, croup] = [horse?.points.withers, horse?.points.croup];
    const body = medianOf([withers, croup].flatMap((p) => p?.x ?? []));
    const feet = medianOf(handlerFeet.map(({ x }) => x));
    return body === null || feet === null || timeS < startS || timeS > endS ? [] : [feet - body];
  });
  const middle = medianOf(toRight);
  if (middle === null || middle === 0) return null;
  return middle > 0 === (kind === 'away') ? 'right' : 'left';
}

/** Where the head is turned on a way away from the camera or back: the nose, and the poll no way to the other side. */
export function headTurns(frames: readonly LedFrame[], track: Track, span: LineSpan): Found[] {
  const seen = seenLine(track, span);
  if (typeof seen === 'string') return [];
  const { data, path } = seen;
  const [muzzles, polls] = [asides(data, path, 'muzzle'), asides(data, path, 'poll')];
  const looks = data.timesS.map((timeS, i): Look => {
    const [muzzle, poll] = [muzzles[i] ?? null, polls[i] ?? null];
    const size = muzzle ?? poll;
    const isOther = size && poll && Math.sign(poll.value) !== Math.sign(size.value);
    return { timeS, size: isOther ? { ...size, value: 0 } : size };
  });
  const side = handlerSide(frames, span);
  return spansBeyond('headTurned', looks, STRAIGHT_H, TURNED_S).map((one) => ({
    ...one,
    ...(side ? { handlerSide: side } : {}),
  }));
}

/**
 * On the long side the ears at or below the withers are what handlers aim for (common practice, no source). A poll up
 * to a tenth of the withers height above them, about 16 cm, is let pass: our choice, no source. A head fixed high
 * shortens the stride (Rhodin et al. 2005, EVJ; Gomez Alvarez et al. 2006, EVJ).
 */
const HIGH_H = 0.1;
const HIGH_S = 0.7;
const USUAL_STRIDE_S = 1.1;

/**
 * Where the poll is high above the withers for a while; the nod, twice a stride, is smoothed away. Nowhere on a pass whose
 * head is not measured.
 */
export function highHeads({ headH = [], measures, inWithersHeights }: SidePass): Found[] {
  const { headAboveWithersH: mean } = inWithersHeights;
  if (!mean || !isMeasured(mean)) return [];
  const { strideDurationS } = measures;
  const strideS = isMeasured(strideDurationS) ? strideDurationS.value : USUAL_STRIDE_S;
  const times = headH.map(({ timeS }) => timeS);
  const above = headH.map(({ poll, withers }) => poll - withers);
  const sd = quadrature(NETWORK_ERRORS.pollUp, NETWORK_ERRORS.withersUp);
  const looks = times.map((timeS): Look => {
    const fit = localPolynomial(times, above, timeS, strideS / 4, 1);
    const size: Estimate | null = fit && { value: Math.max(0, fit.value), sd };
    return { timeS, size };
  });
  return spansBeyond('headHigh', looks, HIGH_H, HIGH_S);
}
