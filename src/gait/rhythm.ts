import { isFore, LIMBS, limbSide, type Limb, type Side } from '../points.ts';
import { meanPhase, phaseDifference, wrapPhase } from './circular.ts';
import { strideMean, type StrideMean } from './interval.ts';
import type { FoundStance } from './stances.ts';
import { medianOf, quadrature, type Estimate } from './statistics.ts';

/** Usual variation of stride duration within a horse, share (2 - 5 % of stride length: Drevemo et al. 1980, EVJ 12:60). */
export const DURATION_CV = 0.025;
/** Usual variation of a phase from stride to stride, share of the stride: our assumption, no source. */
const PHASE_SD = 0.008;
/** Left and right half strides differ by up to a few per cent: our assumption, no source. */
const HALF_STRIDE_CV = 0.04;

/** Where only the far side allows a value, its error counts this much more: far hooves are taken for near ones. */
export const FAR_SD = 1.5;

type Edge = 'on' | 'off';

export const eventsOf = (stances: readonly FoundStance[], limb: Limb, edge: Edge): Estimate[] =>
  stances.flatMap((s) => (s.limb === limb && s[edge] ? [s[edge]] : [])).sort((a, b) => a.value - b.value);

/** Stride duration, s, from all events of the near hooves; of all four where those aren't enough; or from half strides. */
export function strideDuration(
  stances: readonly FoundStance[],
  nearSide: Side,
  pace: number,
): StrideMean | null {
  const near = LIMBS.filter((limb) => limbSide(limb) === nearSide);
  const far = LIMBS.filter((limb) => limbSide(limb) !== nearSide);
  const guess = roughStrideS(stances, near, pace) ?? roughStrideS(stances, LIMBS, pace);
  if (guess === null) return fromHalfStrides(stances, pace);
  const nearOnly = fromSeries(stances, near, guess, nearSide);
  if (nearOnly && nearOnly.n >= 2) return nearOnly;
  const all = fromSeries(stances, LIMBS, guess, 'both');
  const farOnly = nearOnly ? null : fromSeries(stances, far, guess, nearSide === 'left' ? 'right' : 'left');
  return farOnly ? { ...farOnly, sd: FAR_SD * farOnly.sd } : all;
}

/**
 * Strides last between these shares of the pace (paceS: the time in which the trunk seems to go 1.05 withers heights).
 * A stride of 1.5 withers heights lasts 1.45 paces, one of 0.6 on a path 45 degrees off, which looks as long as 0.42,
 * 0.4: see STRIDE_H. Above it lie only strides among which one was lost.
 */
const STRIDE_PACES = [0.4, 1.45] as const;

/**
 * The stride duration on which most intervals between like events agree; twice a stride, where an event was missed,
 * counts half.
 */
function roughStrideS(stances: readonly FoundStance[], limbs: readonly Limb[], pace: number): number | null {
  const intervals = limbs
    .flatMap((limb) => (['on', 'off'] as const).map((edge) => eventsOf(stances, limb, edge)))
    .flatMap((events) => events.slice(1).map((e, i) => e.value - (events[i]?.value ?? 0)));
  const agreement = (candidate: number): number =>
    intervals.reduce(
      (sum, s) =>
        sum +
        Math.max(0, 1 - Math.abs(s / candidate - 1) / 0.15) +
        Math.max(0, 0.5 - Math.abs(s / candidate - 2) / 0.3),
      0,
    );
  const candidates = intervals
    .filter((s) => s > STRIDE_PACES[0] * pace && s < STRIDE_PACES[1] * pace)
    .map((s) => ({ s, agreement: agreement(s) }))
    .sort((a, b) => b.agreement - a.agreement);
  const best = candidates[0]?.s;
  return best === undefined ? null : medianOf(intervals.filter((s) => Math.abs(s / best - 1) < 0.15));
}

interface NumberedEvent extends Estimate {
  readonly k: number;
  readonly w: number;
}

/** Events numbered by strides from the one that most others agree with; those that fit no number are left out. */
function numbered(events: readonly Estimate[], strideS: number): NumberedEvent[] {
  const from = (anchor: Estimate): NumberedEvent[] =>
    events
      .map((e) => ({ ...e, k: Math.round((e.value - anchor.value) / strideS), w: 1 / e.sd ** 2 }))
      .filter(
        (e) => Math.abs(e.value - anchor.value - e.k * strideS) < 0.15 * strideS * Math.max(1, Math.abs(e.k)),
      );
  return events.map(from).reduce((best, list) => (list.length > best.length ? list : best), []);
}

/** One slope through the events of every hoof and edge, each with its own start: t = start + k T. */
function fromSeries(
  stances: readonly FoundStance[],
  limbs: readonly Limb[],
  guessS: number,
  side: Side | 'both',
): StrideMean | null {
  let sumXX = 0;
  let sumXY = 0;
  const strides: Estimate[] = [];
  let n = 0;
  for (const limb of limbs) {
    for (const edge of ['on', 'off'] as const) {
      const events = numbered(eventsOf(stances, limb, edge), guessS);
      const first = events[0];
      const last = events[events.length - 1];
      if (!first || !last || last.k === first.k) continue;
      const sumW = events.reduce((s, e) => s + e.w, 0);
      const meanK = events.reduce((s, e) => s + e.w * e.k, 0) / sumW;
      for (const e of events) {
        sumXX += e.w * (e.k - meanK) ** 2;
        sumXY += e.w * (e.k - meanK) * (e.value - first.value);
      }
      strides.push(...singleStrides(events));
      n = Math.max(n, last.k - first.k);
    }
  }
  if (sumXX === 0) return null;
  const spread = strideMean(strides, DURATION_CV * guessS, n, side);
  return spread && { ...spread, value: sumXY / sumXX };
}

function singleStrides(events: readonly NumberedEvent[]): Estimate[] {
  return events.slice(1).flatMap((e, i) => {
    const before = events[i];
    const strides = before ? e.k - before.k : 0;
    return before && strides >= 1
      ? [{ value: (e.value - before.value) / strides, sd: quadrature(e.sd, before.sd) / strides }]
      : [];
  });
}

/** From a left and a right hoof half a stride apart, when no hoof was seen to land twice. */
function fromHalfStrides(stances: readonly FoundStance[], pace: number): StrideMean | null {
  const pairs = [
    ['LH', 'RH'],
    ['LF', 'RF'],
  ] as const;
  const halves = pairs.flatMap(([left, right]) =>
    (['on', 'off'] as const).flatMap((edge) =>
      eventsOf(stances, left, edge).flatMap((l) =>
        eventsOf(stances, right, edge).map((r) => ({
          value: 2 * Math.abs(l.value - r.value),
          sd: 2 * quadrature(l.sd, r.sd),
        })),
      ),
    ),
  );
  const plausible = halves.filter((h) => h.value > 0.7 * pace && h.value < 1.4 * pace);
  const usual = medianOf(plausible.map((h) => h.value)) ?? 0;
  return strideMean(plausible, quadrature(DURATION_CV, HALF_STRIDE_CV) * usual, 1, 'both');
}

/** Reference events enclose a stride when they are about one apart: this share of it, at most and at least. */
const ONE_STRIDE = [0.75, 1.33] as const;

/** Phase of one event: its place between the reference events around it, or its time from the one that is there. */
function phaseOf(e: Estimate, reference: readonly Estimate[], strideS: number): Estimate | null {
  const before = reference.findLast((r) => r.value <= e.value);
  const after = reference.find((r) => r.value > e.value);
  const ownS = before && after ? after.value - before.value : Number.NaN;
  if (before && after && ownS > ONE_STRIDE[0] * strideS && ownS < ONE_STRIDE[1] * strideS) {
    const share = (e.value - before.value) / ownS;
    const sd = quadrature(e.sd, (1 - share) * before.sd, share * after.sd) / ownS;
    return { value: wrapPhase(share), sd };
  }
  const fromS = (r: Estimate | undefined): number =>
    r ? Math.abs(e.value - r.value) : Number.POSITIVE_INFINITY;
  const nearest = fromS(before) <= fromS(after) ? before : after;
  if (!nearest || fromS(nearest) > 0.8 * strideS) return null;
  return {
    value: wrapPhase((e.value - nearest.value) / strideS),
    sd: quadrature(e.sd, nearest.sd) / strideS,
  };
}

/** Phase of each event after reference events, share of the stride in [0, 1). */
const phasesOf = (events: readonly Estimate[], reference: readonly Estimate[], strideS: number): Estimate[] =>
  events.flatMap((e) => phaseOf(e, reference, strideS) ?? []);

/** Mean phase of some events after reference events, share of the stride in [0, 1), with its standard error. */
export function phaseAfter(
  events: readonly Estimate[],
  reference: readonly Estimate[],
  strideS: number,
  side: Side | 'both',
): StrideMean | null {
  const lags = phasesOf(events, reference, strideS);
  const weights = lags.map((l) => 1 / (PHASE_SD ** 2 + l.sd ** 2));
  const centre = meanPhase(
    lags.map((l) => l.value),
    weights,
  );
  if (centre === null) return null;
  const around = lags.map((l) => ({ value: phaseDifference(l.value, centre), sd: l.sd }));
  const spread = strideMean(around, PHASE_SD, lags.length, side);
  return spread && { ...spread, value: wrapPhase(centre + spread.value) };
}

/** Phase of each limb's hoof-on after the left hind, share of the stride. */
export function limbPhases(
  stances: readonly FoundStance[],
  nearSide: Side,
  strideS: number,
): Record<Limb, StrideMean | null> {
  const nearHind: Limb = nearSide === 'left' ? 'LH' : 'RH';
  const reference = eventsOf(stances, nearHind, 'on');
  const after = (limb: Limb): StrideMean | null =>
    phaseAfter(eventsOf(stances, limb, 'on'), reference, strideS, limbSide(limb));
  const raw: Record<Limb, StrideMean | null> = {
    LH: after('LH'),
    LF: after('LF'),
    RH: after('RH'),
    RF: after('RF'),
  };
  const shift = nearHind === 'LH' ? fixed(0, 'left', reference.length) : wellSeen(raw.LH);
  const shifted = (limb: Limb): StrideMean | null => {
    const own = raw[limb];
    if (shift === null) return null;
    if (limb === 'LH') return fixed(0, 'left', reference.length);
    if (own === null) return null;
    return {
      ...own,
      n: Math.min(own.n, shift.n),
      value: wrapPhase(own.value - shift.value),
      sd: quadrature(own.sd, shift.sd),
    };
  };
  return { LH: shifted('LH'), LF: shifted('LF'), RH: shifted('RH'), RF: shifted('RF') };
}

const fixed = (value: number, side: Side, n: number): StrideMean | null =>
  n > 0 ? { value, sd: 0, degreesOfFreedom: 30, n, side } : null;

/**
 * Seen from the right, the left hind is the far one: phases are taken after the right hind and shifted by the left
 * hind's own phase. Where that is seen too badly there is nothing to count from.
 */
const wellSeen = (farHind: StrideMean | null): StrideMean | null =>
  farHind !== null && farHind.sd < 0.04 ? farHind : null;

/** Duty factor of a hoof: stance duration / stride duration. */
export const dutyFactor = (stances: readonly FoundStance[], limb: Limb, strideS: number): StrideMean | null =>
  phaseAfter(eventsOf(stances, limb, 'off'), eventsOf(stances, limb, 'on'), strideS, limbSide(limb));

/** The near limb first, the far one where only that allows a value. */
export function nearFirst<T>(nearSide: Side, fore: boolean, of: (limb: Limb) => T | null): T | null {
  const limbs = LIMBS.filter((limb) => isFore(limb) === fore);
  const near = limbs.find((limb) => limbSide(limb) === nearSide);
  const far = limbs.find((limb) => limbSide(limb) !== nearSide);
  return (near && of(near)) ?? (far && of(far)) ?? null;
}
