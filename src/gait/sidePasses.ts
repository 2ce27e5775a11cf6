import { extent } from 'simple-statistics';
import type { Side } from '../points.ts';
import type { Track } from '../track/types.ts';
import { breaksOf } from './breaks.ts';
import { localPolynomial } from './localPolynomial.ts';
import { focalPxOf } from './scale.ts';
import { heightsPx, paceS, roughHeightPx, spanData, trunkF, type Span, type SpanData } from './series.ts';
import { straightPart } from './straight.ts';

/** Half the window over which side and body speed are judged, s. */
const WINDOW_S = 0.3;
/**
 * Slower than this the horse stands or shifts about, withers heights per second (a walk: about 0.6 - 1.1; a clip
 * played at half speed, of a horse that also goes away from the camera and looks small at the end: 0.13).
 */
const MOVING_H_PER_S = 0.1;
/** The shortest pass worth trying: most of one stride. */
const LEAST_S = 0.6;
const LEAST_TRAVEL_H = 0.45;

/** Spans in which one side of the horse is seen and it walks forward along the still frame, in order of time. */
export function findSidePasses(track: Track): Span[] {
  const sides = steadySides(track);
  const passes: Span[] = [];
  for (const side of ['left', 'right'] as const) {
    for (const run of runs(track.timesS, (i) => sides[i] === side))
      passes.push(...movingSpans(track, run, side));
  }
  return passes.sort((a, b) => a.startS - b.startS);
}

/** The side seen by most frames about each frame, so that single wrong frames don't cut a pass. */
function steadySides({ timesS, seenSide }: Track): (Side | null)[] {
  const votes = seenSide.map((side) => (side === null ? 0 : side === 'left' ? -1 : 1));
  let [first, end, sum] = [0, 0, 0];
  return timesS.map((timeS) => {
    for (; (timesS[end] ?? Infinity) - timeS <= WINDOW_S; end++) sum += votes[end] ?? 0;
    for (; timeS - (timesS[first] ?? Infinity) > WINDOW_S; first++) sum -= votes[first] ?? 0;
    return sum === 0 ? null : sum < 0 ? 'left' : 'right';
  });
}

function runs(timesS: readonly number[], holds: (i: number) => boolean): [number, number][] {
  const found: [number, number][] = [];
  let start: number | null = null;
  for (let i = 0; i <= timesS.length; i++) {
    const inside = i < timesS.length && holds(i);
    if (inside && start === null) start = i;
    if (!inside && start !== null) {
      found.push([timesS[start] ?? 0, timesS[i - 1] ?? 0]);
      start = null;
    }
  }
  return found;
}

/** Parts of a time in which the horse, seen from one side, walks straight forward and is never lost. */
export function movingSpans(track: Track, [startS, endS]: readonly [number, number], side: Side): Span[] {
  const data = spanData(track, { startS, endS, direction: side, nearSide: side });
  const height = roughHeightPx(data);
  if (height === null) return [];
  const trunk = trunkF(data);
  const heights = heightsPx(data);
  const parts = wholeParts(data, trunk, breaksOf(data, height, paceS(data, height)));
  return parts
    .flatMap(([first, end]) => joinRuns(forwardRuns(data, trunk, height, first, end)))
    .map((run) => straightPart(data, heights, focalPxOf(data), run))
    .map(([from, to]): Span => ({ startS: from, endS: to, direction: side, nearSide: side }))
    .filter((span) => isLongEnough(span, data, trunk, height));
}

/** First and last frame of each part in which the horse is never lost. */
function wholeParts(
  { timesS }: SpanData,
  trunk: readonly (number | null)[],
  breaks: ReadonlySet<number>,
): [number, number][] {
  const parts: [number, number][] = [];
  timesS.forEach((_, i) => {
    if ((trunk[i] ?? null) === null) return;
    const part = parts[parts.length - 1];
    if (part && !breaks.has(i)) part[1] = i;
    else parts.push([i, i]);
  });
  return parts;
}

/** Times from and to which the trunk goes forward within one part; what lies beyond the part has no say. */
function forwardRuns(
  data: SpanData,
  trunk: readonly (number | null)[],
  height: number,
  first: number,
  last: number,
): [number, number][] {
  const times = data.timesS.slice(first, last + 1);
  const places = trunk.slice(first, last + 1);
  return runs(times, (i) => {
    const fit = localPolynomial(times, places, times[i] ?? 0, WINDOW_S, 1);
    return fit !== null && fit.slope > MOVING_H_PER_S * height;
  });
}

function joinRuns(found: readonly [number, number][]): [number, number][] {
  const joined: [number, number][] = [];
  for (const [from, to] of found) {
    const last = joined[joined.length - 1];
    if (last && from - last[1] < WINDOW_S) last[1] = to;
    else joined.push([from, to]);
  }
  return joined;
}

function isLongEnough(
  span: Span,
  data: SpanData,
  trunk: readonly (number | null)[],
  height: number,
): boolean {
  const places = trunk.filter((f, i): f is number => {
    const t = data.timesS[i] ?? 0;
    return f !== null && t >= span.startS && t <= span.endS;
  });
  if (span.endS - span.startS < LEAST_S || places.length < 6) return false;
  const [least, most] = extent(places);
  return most - least > LEAST_TRAVEL_H * height;
}
