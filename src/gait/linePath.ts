import { degrees } from './geometry.ts';
import { localPolynomial } from './localPolynomial.ts';
import { regress } from './regression.ts';
import type { LinePrint } from './lineSteps.ts';
import { quadrature } from './statistics.ts';
import { depthFrom, nearEnd, roughHeights, type Depth, type LineData, type LineSample } from './lineView.ts';

/** Along the way that the horse goes and to its left, H; about the camera's axis. */
export interface Place {
  readonly along: number;
  readonly left: number;
}

/** Toes in the middle of their stance ahead of the withers, and the croup, H: usual horses, our own estimate, no source. */
const AHEAD_H = { fore: 0.045, hind: -0.62, croup: -0.557, poll: 0.45, muzzle: 0.7 } as const;
export type Part = keyof typeof AHEAD_H | 'withers' | 'middle';
const aheadOf = (part: Part): number =>
  part === 'withers' ? 0 : part === 'middle' ? AHEAD_H.croup / 2 : AHEAD_H[part];

/** Places of the horse on the ground, and the line that its body follows. */
export interface LinePath {
  /** Of a picture place that belongs to this part of the horse at this time. */
  readonly placeOf: (at: Pick<LineSample, 'timeS' | 'x'>, part: Part) => Place;
  /** Of a picture place that lies so far along. */
  readonly placeAlong: (x: number, along: number) => Place;
  /** Length of so many px across the line of sight at a place so far along, H. */
  readonly acrossH: (px: number, along: number) => number;
  /** Of a place: along the straight line that fits the body's way best, and to the left of it. */
  readonly onStraight: (place: Place) => Place;
  /** Where the line that the body follows lies so far along. */
  readonly bodyAt: (along: number) => Place;
  /** How far a place lies to the left of the line that the body follows there, H. */
  readonly asideH: (place: Place) => number;
  /** Drift to the left of the camera's axis, degrees, its SD, and RMS distance from the straight line, H. */
  readonly drift: { readonly deg: number; readonly sdDeg: number };
  readonly rmsH: number;
  readonly rmsSdH: number;
}

/**
 * How far the middle of withers and croup is seen aside of where it is, by an error that changes along a pass, H: RMS over 20
 * drawn triangles by version 3 of the network; not measured on real horses. From the front the croup is hidden.
 */
export const BODY_ASIDE_H = { away: 0.012, towards: 0.02 } as const;

/** The depth by prints of the near end in the middle of their stances; by the lower hoof of each frame where there are few. */
function depthOf(data: LineData, prints: readonly LinePrint[]): Depth | null {
  const { limbs, top } = nearEnd(data.span);
  const tops = data.points[top].map((p) => p?.y ?? null);
  const byPrints = prints
    .filter(({ limb }) => limbs.includes(limb))
    .flatMap(({ middleS, y }) => {
      const above = localPolynomial(data.timesS, tops, middleS, 0.3, 1)?.value;
      return above === undefined ? [] : [{ timeS: middleS, px: y - above }];
    });
  const rough = roughHeights(data).flatMap((px, i) =>
    px === null ? [] : [{ timeS: data.timesS[i] ?? 0, px }],
  );
  return depthFrom(byPrints.length >= 4 ? byPrints : rough, data.focalPx.value);
}

/**
 * Half the window over which the body's line is smoothed, H: nearly a whole stride, as withers and croup seem to sway with each;
 * and a longer one: what changes with it is in doubt.
 */
const SMOOTH_H = 0.7;
export const SMOOTHER_H = 1.1;
/** Over this the bend of that line is taken. */
const BEND_H = 0.25;

/**
 * The line that the body follows. Withers and croup sway to opposite sides: their mean at a time is free of that, but on
 * a bend it lies inside the bend, by an eighth of the bend times the square of their distance, as the middle of a chord does.
 */
function bodyLine(
  data: LineData,
  placeOf: LinePath['placeOf'],
  smoothH: number,
): ((along: number) => number) | null {
  const middles = data.timesS.flatMap((timeS, i) => {
    const [withers, croup] = [data.points.withers[i], data.points.croup[i]];
    if (!withers || !croup) return [];
    const left = (placeOf(withers, 'withers').left + placeOf(croup, 'croup').left) / 2;
    return [{ along: placeOf({ timeS, x: 0 }, 'middle').along, left }];
  });
  const [first, last] = [middles[0], middles[middles.length - 1]];
  if (!first || !last || middles.length < 10) return null;
  const [alongs, lefts] = [middles.map(({ along }) => along), middles.map(({ left }) => left)];
  const chord = (along: number): number => localPolynomial(alongs, lefts, along, smoothH, 2)?.value ?? NaN;
  const within = (along: number): number =>
    Math.min(last.along - BEND_H, Math.max(first.along + BEND_H, along));
  return (along) => {
    const at = within(along);
    const [before, here, after] = [chord(at - BEND_H), chord(at), chord(at + BEND_H)];
    const bend = (before + after - 2 * here) / BEND_H ** 2;
    return here - (AHEAD_H.croup ** 2 / 8) * bend + ((after - before) / (2 * BEND_H)) * (along - at);
  };
}

/** Slower than this a horse does not go away or come back, H/s: a walk does .6 - 1.3. */
const LEAST_SPEED_H = 0.3;

/** Null where the horse's size was seen too little, or does not change as that of a walking horse does. */
export function linePath(data: LineData, prints: readonly LinePrint[], smoothH = SMOOTH_H): LinePath | null {
  const depth = depthOf(data, prints);
  const sign = data.span.kind === 'away' ? 1 : -1;
  if (!depth || sign * depth.speed < LEAST_SPEED_H) return null;
  // The near end's top is what the depth was read from.
  const reference = aheadOf(nearEnd(data.span).top === 'croup' ? 'croup' : 'withers');
  const acrossH: LinePath['acrossH'] = (px, along) => (px * Math.abs(along)) / data.focalPx.value;
  const placeAlong: LinePath['placeAlong'] = (x, along) => ({
    along,
    left: (-x * along) / data.focalPx.value,
  });
  const placeOf: LinePath['placeOf'] = ({ timeS, x }, part) =>
    placeAlong(x, sign * depth.at(timeS) + aheadOf(part) - reference);
  const leftAt = bodyLine(data, placeOf, smoothH);
  const alongs = data.timesS.map((timeS) => placeOf({ timeS, x: 0 }, 'middle').along);
  const line = leftAt && regress(alongs.map((along) => ({ x: [1, along], y: leftAt(along), sd: 1 })));
  if (!leftAt || !line) return null;
  const [level = 0, slope = 0] = line.coefficients;
  const cos = Math.cos(Math.atan(slope));
  const rmsH = cos * Math.sqrt(line.residuals.reduce((sum, r) => sum + r * r, 0) / alongs.length);
  const lengthH = Math.abs((alongs[alongs.length - 1] ?? 0) - (alongs[0] ?? 0));
  const focalRel = data.focalPx.sd / data.focalPx.value;
  const offH = quadrature(BODY_ASIDE_H[data.span.kind], rmsH / Math.sqrt(Math.max(1, lengthH)));
  const deg = degrees(Math.atan(slope));
  return {
    placeOf,
    placeAlong,
    acrossH,
    onStraight: ({ along, left }) => ({
      along: (along + slope * (left - level)) * cos,
      left: (left - level - slope * along) * cos,
    }),
    bodyAt: (along) => ({ along, left: leftAt(along) }),
    asideH: ({ along, left }) => (left - leftAt(along)) * cos,
    // Both ends of the way are off by themselves.
    drift: {
      deg,
      sdDeg: quadrature(degrees((Math.SQRT2 * offH) / Math.max(lengthH, 0.5)), deg * focalRel),
    },
    rmsH,
    rmsSdH: offH,
  };
}
