import { localPolynomial } from './localPolynomial.ts';
import { regress } from './regression.ts';
import type { SpanData } from './series.ts';

/**
 * Where a horse turns, its path leaves the line of the pass: it is nearer or farther than that line, and looks taller or
 * smaller. The way through a turn would count for too short, and its heights would bend the scale.
 */

/** Half the window over which heights are smoothed, s: half a stride, so that the bob of the trunk is out. */
const WINDOW_S = 0.5;
/**
 * Nearer or farther than the line by this share of the distance. Errors of the withers change by 1 - 2 % along a pass,
 * of ridden ones by up to 8 %; a turn goes on and on, so that an end that never gets far off is none.
 */
const OFF_LINE = 0.05;
const TURNED_OFF = 0.12;
/** Shorter than this it is noise, s. */
const LASTING_S = 0.2;

/** Distance from the camera and place across its view at a time, withers heights. */
interface Place {
  readonly timeS: number;
  readonly z: number;
  readonly x: number;
}

function placesOf(
  data: SpanData,
  heights: readonly (number | null)[],
  focalPx: number,
  [fromS, toS]: readonly [fromS: number, toS: number],
): Place[] {
  return data.timesS.flatMap((timeS, i) => {
    const withers = data.points.withers[i];
    if (timeS < fromS || timeS > toS || !withers) return [];
    const height = localPolynomial(data.timesS, heights, timeS, WINDOW_S, 1)?.value ?? 0;
    return height > 0 ? [{ timeS, z: focalPx / height, x: withers.f / height }] : [];
  });
}

/** How far a place lies from the straight line through these, share of its distance. */
function offLine(through: readonly Place[]): ((place: Place) => number) | null {
  const fit = regress(through.map(({ x, z }) => ({ x: [1, x], y: z, sd: 1 })));
  if (!fit) return null;
  const [start = 0, slope = 0] = fit.coefficients;
  return ({ x, z }) => Math.abs(z - start - slope * x) / z;
}

/** Its ends may be turns, and would bend the line. */
const middleHalf = (places: readonly Place[]): Place[] =>
  places.slice(places.length >> 2, places.length - (places.length >> 2));

/** From the middle outwards as long as places lie on the line: the part of the list. */
function onLine(places: readonly Place[], off: (place: Place) => number): Place[] {
  const farthest = (step: 1 | -1): number => {
    let last = places.length >> 1;
    for (let i = last; places[i]; i += step) {
      const [here, there] = [places[i] as Place, places[last] as Place];
      if (off(here) <= OFF_LINE) last = i;
      else if (Math.abs(here.timeS - there.timeS) > LASTING_S) break;
    }
    return last;
  };
  return places.slice(farthest(-1), farthest(1) + 1);
}

/** The part of a walked span between its turns, s; the whole where too little is seen to tell. `heights`: heightsPx. */
export function straightPart(
  data: SpanData,
  heights: readonly (number | null)[],
  focalPx: number,
  span: readonly [fromS: number, toS: number],
): [fromS: number, toS: number] {
  const places = placesOf(data, heights, focalPx, span);
  const first = offLine(middleHalf(places));
  const then = first && offLine(middleHalf(onLine(places, first)));
  const straight = then ? onLine(places, then) : [];
  const [start, end] = [straight[0], straight[straight.length - 1]];
  if (!then || !start || !end) return [...span];
  const isTurn = (part: readonly Place[]): boolean => part.some((place) => then(place) > TURNED_OFF);
  return [
    isTurn(places.slice(0, places.indexOf(start))) ? start.timeS : span[0],
    isTurn(places.slice(places.indexOf(end) + 1)) ? end.timeS : span[1],
  ];
}
