import { mean } from 'simple-statistics';
import { HOOF, LIMBS, type Limb } from '../points.ts';
import { roughHeights, type LineData, type LineSample } from './lineView.ts';
import { medianOf } from './statistics.ts';

/** Where and when a hoof stood: px right of the axis and down, of the flat picture. */
export interface LinePrint {
  readonly limb: Limb;
  readonly onS: number;
  readonly offS: number;
  readonly middleS: number;
  readonly x: number;
  readonly y: number;
}

/**
 * Share of the stride that a hoof stands: .60 - .66 at 1.4 - 1.7 m/s (Hodson et al. 2000, 2001, EVJ, from memory). Seen from
 * behind, a hoof that lands comes down as it goes away, and hardly moves in the picture: only its lift-off is sharp; seen
 * from the front, only its landing.
 */
const DUTY = 0.625;

/** Slower than this over the ground of the picture a hoof stands, heights a second: a swing has .3 to 1. */
const STANDING = 0.2;
/** Shorter rests are none: a stance of a walk lasts .5 to .9 s. */
const LEAST_STANCE_S = 0.22;
/** A stride of a walk lasts between these, whatever the horse. */
const LEAST_STRIDE_S = 0.7;
const MOST_STRIDE_S = 1.8;
/** Rests of one hoof this near in time, at one place, are one. */
const SAME_STANCE_S = 0.2;
const SAME_PLACE_H = 0.04;
/** The middle of a rest: its ends may be in swing already. */
const MIDDLE = 0.6;

/** Before a landing its speed is looked at over this, s. */
const LANDING_S = 0.12;

type Rest = readonly [LineSample, ...LineSample[]];
type Hoof = readonly (LineSample | null)[];

/** Runs of frames in which a hoof stands; `usual`: height in the picture, px. */
function rests(hoof: Hoof, speeds: readonly (number | null)[], usual: number): Rest[] {
  const runs: [LineSample, ...LineSample[]][] = [];
  let open: LineSample[] | null = null;
  hoof.forEach((at, i) => {
    const stands = at !== null && (speeds[i] ?? Infinity) < STANDING;
    if (!stands) open = null;
    else if (open) open.push(at);
    else {
      const run: [LineSample] = [at];
      runs.push(run);
      open = run;
    }
  });
  const joined: typeof runs = [];
  for (const run of runs) {
    const last = joined[joined.length - 1];
    const [end, start] = [last?.[last.length - 1], run[0]];
    const near =
      end !== undefined &&
      start.timeS - end.timeS < SAME_STANCE_S &&
      Math.hypot(start.x - end.x, start.y - end.y) < SAME_PLACE_H * usual;
    if (last && near) last.push(...run);
    else joined.push([...run]);
  }
  return joined;
}

/** A rest with the edge that is sharp, if it lies within the pass. */
interface Stood {
  readonly limb: Limb;
  readonly sharpS: number;
  readonly x: number;
  readonly y: number;
}

/** Time between two frames at which the speed passes a level. */
function crossing(
  times: readonly [number, number],
  speeds: readonly [number, number],
  level: number,
): number {
  const [from, to] = speeds;
  const share = from === to ? 0 : (level - from) / (to - from);
  return times[0] + Math.min(1, Math.max(0, share)) * (times[1] - times[0]);
}

/** Lift-off after the frame `last`, as the hoof is no more at rest; null where that is not seen. */
function liftOffS(
  timesS: readonly number[],
  speeds: readonly (number | null)[],
  last: number,
): number | null {
  const [now, next] = [speeds[last] ?? null, speeds[last + 1] ?? null];
  if (now === null || next === null) return null;
  return crossing([timesS[last] ?? 0, timesS[last + 1] ?? 0], [now, next], STANDING);
}

/** Landing before the frame `first`: halfway down from the speed at which the hoof came; null where that is not seen. */
function landingS(
  timesS: readonly number[],
  speeds: readonly (number | null)[],
  first: number,
): number | null {
  const atS = timesS[first] ?? 0;
  let [fastest, i] = [0, first - 1];
  for (; i >= 0 && atS - (timesS[i] ?? 0) < LANDING_S; i--) fastest = Math.max(fastest, speeds[i] ?? 0);
  for (let k = first; k > 0; k--) {
    const [before, now] = [speeds[k - 1] ?? null, speeds[k] ?? null];
    if (before === null || now === null) return null;
    if (before >= fastest / 2)
      return crossing([timesS[k - 1] ?? 0, timesS[k] ?? 0], [before, now], fastest / 2);
  }
  return null;
}

function stoodOf(limb: Limb, rest: Rest, speeds: readonly (number | null)[], data: LineData): Stood | null {
  const [first, last] = [rest[0], rest[rest.length - 1] ?? rest[0]];
  if (last.timeS - first.timeS < LEAST_STANCE_S) return null;
  const sharpS =
    data.span.kind === 'away'
      ? liftOffS(data.timesS, speeds, data.timesS.indexOf(last.timeS))
      : landingS(data.timesS, speeds, data.timesS.indexOf(first.timeS));
  if (sharpS === null) return null;
  const margin = ((1 - MIDDLE) / 2) * (last.timeS - first.timeS);
  const inside = rest.filter(({ timeS }) => timeS >= first.timeS + margin && timeS <= last.timeS - margin);
  const middle = inside.length > 0 ? inside : rest;
  return { limb, sharpS, x: mean(middle.map(({ x }) => x)), y: mean(middle.map(({ y }) => y)) };
}

/** Time from a sharp edge to the next of the same hoof, s: median; null where none is seen. */
function strideOf(stood: readonly Stood[]): number | null {
  const times = LIMBS.flatMap((limb) => {
    const own = stood.filter((one) => one.limb === limb);
    return own.slice(1).map((one, i) => one.sharpS - (own[i]?.sharpS ?? one.sharpS));
  });
  return medianOf(times.filter((s) => s > LEAST_STRIDE_S && s < MOST_STRIDE_S));
}

export interface LineSteps {
  readonly strideS: number;
  /** Of each limb in order of time. */
  readonly prints: readonly LinePrint[];
}

/** Every print of a pass away or back; null where no hoof is seen to stand twice. */
export function lineSteps(data: LineData): LineSteps | null {
  const heights = roughHeights(data);
  const usual = medianOf(heights.flatMap((h) => h ?? []));
  if (usual === null) return null;
  const stood = LIMBS.flatMap((limb) => {
    const hoof = data.points[HOOF[limb]];
    const speeds = hoof.map((at, i) => at && Math.hypot(at.vx, at.vy) / (heights[i] ?? usual));
    return rests(hoof, speeds, usual).flatMap((rest) => stoodOf(limb, rest, speeds, data) ?? []);
  });
  const strideS = strideOf(stood);
  if (strideS === null) return null;
  const stanceS = DUTY * strideS;
  const prints = stood.map(({ sharpS, ...place }): LinePrint => {
    const onS = data.span.kind === 'away' ? sharpS - stanceS : sharpS;
    return { ...place, onS, offS: onS + stanceS, middleS: onS + stanceS / 2 };
  });
  return { strideS, prints };
}
