import { mean } from 'simple-statistics';
import { wrapped, type PathFrame } from './clipPath.ts';
import { localPolynomial } from './localPolynomial.ts';

/** Half the window over which the bend of the way is taken, s. */
const WINDOW_S = 0.5;
/**
 * A way that bends by more than this in a second may be a turn: 15 degrees, a circle of about 12 m across at a walk. A
 * camera that goes along with the horse, 9 m beside it, makes a straight way look bent by 10.
 */
const BENDS_RAD_S = 0.26;
/** A horse that wanders by 20 cm about its line swings by 36 degrees to and fro; a turn is one of 50 or more. */
export const LEAST_TURN_RAD = 0.87;
/** Pieces of one turn, s. */
const PIECES_S = 0.5;
/** Slower than this, heights a second, its way isn't known. */
const GOES_H = 0.25;
/** So much of the straight ways before and after belongs to the fit of a turn, s. */
const BESIDE_S = 1;
/**
 * How long a bend seems where the horse turns at once, s: speeds are those of a second, and of two places on the horse
 * .6 heights apart. Between an even bend of that length and one of its own.
 */
const BLUR_S = 1;
/**
 * The path bends under the middle between withers and croup; the horse is in the bend from its head on until its hind
 * hooves are out of it: so much before and behind, withers heights.
 */
const REACH_H = { front: 0.7, back: 0.5 } as const;

/** A horse that hardly moves takes no longer through its own length than at this speed, heights a second. */
const SLOWEST_H = 0.4;

type Headings = readonly (number | null)[];

/** The way at each frame of a part, turned on without jumps; between frames without one it goes on evenly. */
function headingsOf(frames: readonly PathFrame[]): Headings {
  const out = frames.map((): number | null => null);
  let known = -1;
  frames.forEach(({ headingRad, speedH }, k) => {
    if (headingRad === null || (speedH ?? 0) < GOES_H) return;
    const from = out[known] ?? headingRad;
    const to = from + wrapped(headingRad - from);
    for (let j = known + 1; j < k && known >= 0; j++)
      out[j] = from + ((to - from) * (j - known)) / (k - known);
    out[k] = to;
    known = k;
  });
  return out;
}

interface Bend {
  readonly from: number;
  to: number;
  readonly sign: number;
}

/** Runs of frames in which the way bends to one side, far enough for a turn. */
function bends(timesS: readonly number[], headings: Headings): Bend[] {
  const found: Bend[] = [];
  timesS.forEach((timeS, k) => {
    const rate = localPolynomial(timesS, headings, timeS, WINDOW_S, 1)?.slope ?? 0;
    if ((headings[k] ?? null) === null || Math.abs(rate) < BENDS_RAD_S) return;
    const last = found[found.length - 1];
    const sign = Math.sign(rate);
    if (last?.sign === sign && timeS - (timesS[last.to] ?? 0) <= PIECES_S) last.to = k;
    else found.push({ from: k, to: k, sign });
  });
  return found.filter(
    ({ from, to }) => Math.abs((headings[to] ?? 0) - (headings[from] ?? 0)) >= LEAST_TURN_RAD,
  );
}

/** Share of an even turn of lastsS that is done at a time from its middle, as it looks when blurred. */
function turnedShare(fromMiddleS: number, lastsS: number): number {
  const ramp = (t: number): number => Math.max(0, t) ** 2;
  const [outer, inner] = [(lastsS + BLUR_S) / 2, (lastsS - BLUR_S) / 2];
  const t = fromMiddleS;
  return (ramp(t + outer) - ramp(t + inner) - ramp(t - inner) + ramp(t - outer)) / (2 * lastsS * BLUR_S);
}

/** The squares that the best straight line leaves: asked for hundreds of times, so without the line itself. */
function squaresLeft(xs: readonly number[], ys: readonly number[]): number {
  const [mx, my] = [mean([...xs]), mean([...ys])];
  let [xx, xy, yy] = [0, 0, 0];
  xs.forEach((x, i) => {
    const [dx, dy] = [x - mx, (ys[i] ?? my) - my];
    xx += dx * dx;
    xy += dx * dy;
    yy += dy * dy;
  });
  return xx > 0 ? yy - (xy * xy) / xx : Infinity;
}

/** The even turn between two straight ways that fits the headings best (least squares): its first and last moment. */
function evenTurn(timesS: readonly number[], headings: Headings): [fromS: number, toS: number] {
  const looks = timesS.flatMap((timeS, k) => {
    const y = headings[k] ?? null;
    return y === null ? [] : [{ timeS, y }];
  });
  const ys = looks.map(({ y }) => y);
  const [start, end] = [timesS[0] ?? 0, timesS[timesS.length - 1] ?? 0];
  let best = { least: Infinity, middleS: (start + end) / 2, lastsS: end - start };
  const tryOut = (middleS: number, lastsS: number): void => {
    const least = squaresLeft(
      looks.map(({ timeS }) => turnedShare(timeS - middleS, lastsS)),
      ys,
    );
    if (least < best.least) best = { least, middleS, lastsS };
  };
  for (const step of [0.4, 0.1]) {
    const { middleS, lastsS } = best;
    const coarse = best.least === Infinity;
    const [shift, change] = coarse ? [(end - start) / 2, end - start] : [0.4, 0.4];
    for (let m = middleS - shift; m <= middleS + shift + 1e-9; m += step)
      for (let l = Math.max(0.2, lastsS - change); l <= lastsS + (coarse ? 0 : change) + 1e-9; l += step)
        tryOut(m, l);
  }
  return [best.middleS - best.lastsS / 2, best.middleS + best.lastsS / 2];
}

/** Turns of a horse that walks through these frames, in order of time; they may overlap. */
export function turnsWithin(
  timesS: readonly number[],
  frames: readonly PathFrame[],
): [fromS: number, toS: number][] {
  const headings = headingsOf(frames);
  const found = bends(timesS, headings);
  return found.map(({ from, to }, n) => {
    // As far as half-way to the bends beside it.
    const least = Math.ceil(((found[n - 1]?.to ?? -from) + from) / 2);
    const most = Math.floor(((found[n + 1]?.from ?? 2 * timesS.length - to) + to) / 2);
    const [earliestS, latestS] = [(timesS[from] ?? 0) - BESIDE_S, (timesS[to] ?? 0) + BESIDE_S];
    const near = timesS.flatMap((timeS, k) =>
      k >= least && k <= most && timeS >= earliestS && timeS <= latestS ? [k] : [],
    );
    const [fromS, toS] = evenTurn(
      near.map((k) => timesS[k] ?? 0),
      near.map((k) => headings[k] ?? null),
    );
    const speeds = frames.slice(from, to + 1).map(({ speedH }) => speedH ?? 0);
    const speed = Math.max(SLOWEST_H, speeds.reduce((s, v) => s + v, 0) / speeds.length);
    return [fromS - REACH_H.front / speed, toS + REACH_H.back / speed];
  });
}
