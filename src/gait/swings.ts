import type { Limb } from '../points.ts';
import { firstFrom } from '../track/times.ts';
import { localPolynomial } from './localPolynomial.ts';
import { trunkF, type Sample, type Series, type SpanData } from './series.ts';

/** A rough swing or stance: frame times between which a hoof clearly moves forward, or rests. */
export interface Interval {
  readonly fromS: number;
  readonly toS: number;
}

/** The trunk's place (F, px) and speed forward (px/s) at each frame; null where unknown or not forward. */
export interface BodyMotion {
  readonly placeF: readonly (number | null)[];
  readonly speed: readonly (number | null)[];
}

/**
 * Hoof speed is judged relative to the body (Boye et al. 2014, J Biomech: the best rule at walk): in body coordinates
 * a standing hoof goes back at body speed, so (hoof - body) / body speed + 1 is 0 in stance and 2 - 4 in swing,
 * whatever the picture's scale or the pace. A swing starts above the higher and ends below the lower threshold.
 */
const SWING_ABOVE = 1.2;
const SWING_BELOW = 0.7;
/** A swing carries the hoof one stride, 0.7 - 1.4 withers heights; less than this is noise. */
const LEAST_SWING_H = 0.35;
/** The same for a swing cut by the end of the clip. */
const LEAST_CUT_SWING_H = 0.15;
/** Such a swing lies at least this share of the pace from the next one: most of a stance. */
const USUAL_STANCE = 0.35;
/** Two swings nearer to each other than this are one, broken by a bad frame (a stance at walk lasts 0.6 of a stride). Share of the pace. */
const LEAST_STANCE = 0.17;

/** The trunk smoothed over about half a stride, so that its own bob doesn't enter. */
export function bodyMotion(data: SpanData, pace: number): BodyMotion {
  const trunk = trunkF(data);
  const fits = data.timesS.map(
    (t) =>
      localPolynomial(data.timesS, trunk, t, 0.3 * pace, 1) ??
      localPolynomial(data.timesS, trunk, t, 0.7 * pace, 1),
  );
  return {
    placeF: fits.map((fit) => fit?.value ?? null),
    speed: fits.map((fit) => (fit !== null && fit.slope > 0 ? fit.slope : null)),
  };
}

/** Hoof speed over the ground as a share of body speed, by way of the body; null where unseen. */
export function relativeSpeed(
  data: SpanData,
  hoof: Series,
  body: BodyMotion,
  pace: number,
): (number | null)[] {
  const halfWindow = Math.max(1.05 * data.frameS, 0.035 * pace);
  const inBody = hoof.map((s, i) => {
    const place = body.placeF[i] ?? null;
    return s && place !== null ? s.f - place : null;
  });
  const sds = hoof.map((s) => s?.sdPx ?? 1);
  return data.timesS.map((t, i) => {
    const speed = body.speed[i] ?? null;
    if (speed === null || (inBody[i] ?? null) === null) return null;
    const fit = localPolynomial(data.timesS, inBody, t, halfWindow, 1, sds);
    return fit === null ? null : fit.slope / speed + 1;
  });
}

/** A hoof unseen for longer than this may have lifted or landed meanwhile, s: a quarter of a swing, or two frames. */
export const holeS = (data: SpanData, pace: number): number => Math.max(2.5 * data.frameS, 0.1 * pace);

/** Rough swings of one hoof, in order of time. */
export function roughSwings(
  data: SpanData,
  limb: Limb,
  body: BodyMotion,
  heightPx: number,
  pace: number,
): Interval[] {
  const hoof = data.hooves[limb];
  const speed = relativeSpeed(data, hoof, body, pace);
  const samples = hoof.flatMap((s, i) => (s ? [{ ...s, speed: speed[i] ?? null }] : []));
  const times = samples.map((s) => s.timeS);
  const marks = hysteresis(samples, heightPx, holeS(data, pace));
  const swings: Interval[] = [];
  for (let i = 0; i < samples.length; i++) {
    if (!marks[i]) continue;
    let end = i;
    while (marks[end + 1]) end++;
    const last = swings[swings.length - 1];
    const fromS = samples[i]?.timeS ?? 0;
    const toS = samples[end]?.timeS ?? 0;
    if (last && fromS - last.toS < LEAST_STANCE * pace)
      swings[swings.length - 1] = { fromS: last.fromS, toS };
    else swings.push({ fromS, toS });
    i = end;
  }
  return swings.filter((s, k) => {
    const least = isCut(samples, swings, k, pace) ? LEAST_CUT_SWING_H : LEAST_SWING_H;
    return carries(samples, times, s) > least * heightPx;
  });
}

/** A swing cut by the end of the clip; not one so soon after a landing that only points leaving the picture moved. */
function isCut(samples: readonly Sample[], swings: readonly Interval[], k: number, pace: number): boolean {
  const swing = swings[k];
  if (!swing || swing.toS <= swing.fromS) return false;
  const before = swings[k - 1]?.toS ?? Number.NEGATIVE_INFINITY;
  const after = swings[k + 1]?.fromS ?? Number.POSITIVE_INFINITY;
  const atStart = swing.fromS === samples[0]?.timeS && after - swing.toS > USUAL_STANCE * pace;
  const atEnd =
    swing.toS === samples[samples.length - 1]?.timeS && swing.fromS - before > USUAL_STANCE * pace;
  return atStart || atEnd;
}

/** How far a swing carries the hoof, px, from the sample before to the sample after. */
function carries(samples: readonly Sample[], times: readonly number[], swing: Interval): number {
  const first = firstFrom(times, swing.fromS);
  let last = firstFrom(times, swing.toS);
  while ((times[last + 1] ?? Infinity) <= swing.toS) last++;
  const before = samples[Math.max(0, first - 1)];
  const after = samples[Math.min(samples.length - 1, last + 1)];
  return before && after ? after.f - before.f : 0;
}

/**
 * True for each sample in swing. A jump over a hole in the data counts as a swing that wasn't seen, however still the
 * hoof stood on either side of the hole: otherwise two stances would be taken for one.
 */
function hysteresis(
  samples: readonly (Sample & { speed: number | null })[],
  heightPx: number,
  holeS: number,
): boolean[] {
  const marks = samples.map((s, i) => {
    const next = samples[i + 1];
    const jumps = next !== undefined && next.f - s.f > LEAST_SWING_H * heightPx;
    if (jumps && next.timeS - s.timeS > holeS) return true;
    return s.speed === null ? jumps : s.speed > SWING_ABOVE;
  });
  const spread = (i: number, from: number): void => {
    if (marks[from] && !marks[i] && (samples[i]?.speed ?? 0) > SWING_BELOW) marks[i] = true;
  };
  for (let i = 1; i < samples.length; i++) spread(i, i - 1);
  for (let i = samples.length - 2; i >= 0; i--) spread(i, i + 1);
  return marks;
}
