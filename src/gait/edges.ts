import { between, type Sample } from './series.ts';
import type { Estimate } from './statistics.ts';

/**
 * Fine timing of hoof-off and hoof-on. A speed threshold is crossed late at hoof-off and early at hoof-on, by an
 * amount that depends on pace and frame rate. So the rough swing only says where to look, and each sample near the
 * edge votes: a toe that has gone the share d of its way from print to print does so S^-1(d) of the swing after
 * hoof-off. S is half a sine of velocity. With it the duty factors of real walks agree with those published (Hodson et
 * al. 2000, 2001, Equine Vet J, from memory); the gentler least-jerk movement (Flash & Hogan 1985, J Neurosci 5:1688)
 * takes .06 off them. How far another shape can move the edge is the model SD below, found with kinematic tracks whose
 * swings have other shapes.
 */
const speedAt = (t: number): number => (Math.PI / 2) * Math.sin(Math.PI * t);

/** Samples that have gone between these shares of the way vote; below, noise drowns them, above, shape does. */
const LEAST_WAY = 0.025;
const MOST_WAY = 0.45;
/** SD of the edge from the swing's shape, share of the swing: constant, and growing with the way gone. */
const SHAPE_SD = 0.018;
const SHAPE_SD_GROWTH = 0.06;
/** Swings of one horse are alike: between its strides only about a third of that differs. */
const SHAPE_SHARE = 1 / 3;
/** The least SD of an edge that more pictures a second leave. */
export const leastEdgeSdS = (swingS: number): number => SHAPE_SHARE * SHAPE_SD * swingS;
/** SD of an edge from the shape common to all strides of a horse, s; it cancels in stride durations. */
export const COMMON_SHAPE_SD_S = 0.01;

/** Share of the swing after which the share d of the way is gone: the inverse of wayAt. */
export const swingShareAt = (d: number): number => Math.acos(1 - 2 * Math.min(1, Math.max(0, d))) / Math.PI;

/** SD of a moment read to the frame, s: an even error of half a frame either way. An interval has sqrt 2 of it. */
export const frameTimingSdS = (frameS: number): number => frameS / Math.sqrt(12);

export interface EdgeInput {
  /** Samples of the hoof in order of time. */
  readonly samples: readonly Sample[];
  /** The rough swing. */
  readonly fromS: number;
  readonly toS: number;
  /** Where the toe stands on the stance side of this edge, F px. */
  readonly printF: number;
  /** How far the swing carries it, px. */
  readonly stepPx: number;
  readonly swingS: number;
}

/** Hoof-off time and SD, s; null where no sample near the edge can vote. */
export function hoofOff(input: EdgeInput): Estimate | null {
  const inSwing = between(input.samples, input.fromS - 0.6 * input.swingS, input.toS);
  const moving = inSwing.map((s) => ({ ...s, way: (s.f - input.printF) / input.stepPx }));
  const from = moving.findLastIndex((s) => s.way < LEAST_WAY);
  return notBeyond(vote(moving.slice(from + 1), input, 1), moving[from], input, 1);
}

/** Hoof-on time and SD, s; null where no sample near the edge can vote. */
export function hoofOn(input: EdgeInput): Estimate | null {
  const inSwing = between(input.samples, input.fromS, input.toS + 0.6 * input.swingS);
  const moving = inSwing.map((s) => ({ ...s, way: (input.printF - s.f) / input.stepPx }));
  const to = moving.findIndex((s) => s.way < LEAST_WAY);
  return notBeyond(vote(to < 0 ? moving : moving.slice(0, to), input, -1), moving[to], input, -1);
}

/**
 * The sample next to the voters is hardly away from the print: the toe stands there or has only just left it. Votes
 * of samples farther off, which depend on the swing's shape, can't put the edge on its other side.
 */
function notBeyond(
  edge: Estimate | null,
  resting: Sample | undefined,
  input: EdgeInput,
  sign: 1 | -1,
): Estimate | null {
  if (edge === null || resting === undefined) return edge;
  const bound = resting.timeS - sign * swingShareAt(LEAST_WAY) * input.swingS;
  return { ...edge, value: sign * Math.max(sign * edge.value, sign * bound) };
}

function vote(
  moving: readonly (Sample & { way: number })[],
  input: EdgeInput,
  sign: 1 | -1,
): Estimate | null {
  let sumW = 0;
  let sumWt = 0;
  let sumNoise = 0;
  let sumShape = 0;
  for (const s of moving) {
    if (s.way < LEAST_WAY || s.way > MOST_WAY) continue;
    const share = swingShareAt(s.way);
    const noise = (s.sdPx * input.swingS) / (speedAt(share) * input.stepPx);
    const shape = (SHAPE_SD + SHAPE_SD_GROWTH * share) * input.swingS;
    const w = 1 / (noise * noise + shape * shape);
    sumW += w;
    sumWt += w * (s.timeS - sign * share * input.swingS);
    sumNoise += w * w * noise * noise;
    sumShape += w * shape;
  }
  if (sumW === 0) return null;
  return { value: sumWt / sumW, sd: Math.hypot(Math.sqrt(sumNoise) / sumW, (SHAPE_SHARE * sumShape) / sumW) };
}
