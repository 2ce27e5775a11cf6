import { isFore, LIMBS, type Limb } from '../points.ts';
import { firstFrom } from '../track/times.ts';
import { hoofOff, hoofOn, type EdgeInput } from './edges.ts';
import { localPolynomial } from './localPolynomial.ts';
import { robustRegress } from './regression.ts';
import { between, seen, type Sample, type SpanData } from './series.ts';
import { medianOf, robustSd, type Estimate } from './statistics.ts';
import { bodyMotion, holeS, roughSwings, type BodyMotion, type Interval } from './swings.ts';

/** Where a toe stands, F and D px with SDs. */
export interface Print {
  readonly f: number;
  readonly d: number;
  readonly sdF: number;
  readonly sdD: number;
}

/** A stance in the making. Edges are null where they lie outside what was seen. */
export interface FoundStance {
  readonly limb: Limb;
  readonly on: Estimate | null;
  readonly off: Estimate | null;
  /** First and last time at which the hoof was seen resting. */
  readonly restS: Interval;
  readonly rest: Print;
  /** Null unless mid-stance was seen. */
  readonly print: Print | null;
  readonly edited: boolean;
}

interface LimbDraft {
  readonly limb: Limb;
  readonly samples: readonly Sample[];
  /** A hoof unseen for longer than this may have lifted or landed meanwhile, s. */
  readonly holeS: number;
  readonly swings: readonly Interval[];
  /** One more than the swings: rest k lies before swing k. Null where the hoof wasn't seen resting. */
  readonly rests: readonly (RestDraft | null)[];
}
interface RestDraft {
  readonly restS: Interval;
  readonly place: Print;
  readonly count: number;
}

/** A stance cut by the end of the clip counts when this share of a usual one was seen. */
const SEEN_SHARE = 0.33;
/** A step is one stride long: 0.45 - 1.9 withers heights, beyond any walk. */
const STEP_H = [0.45, 1.9] as const;

/** A swing takes about this share of a stride, and never less or more than these. */
const SWING_SHARE = { usual: 0.38, least: 0.12, most: 0.9 };
/** Prints of fore (and of hind) hooves lie at one place in the body; one this far off belongs to another hoof. */
const STRAY_H = 0.22;

/** `pace`: paceS of this span. */
export function findStances(data: SpanData, heightPx: number, pace: number): FoundStance[] {
  const body = bodyMotion(data, pace);
  const drafts = LIMBS.map((limb) =>
    draftLimb(data, limb, roughSwings(data, limb, body, heightPx, pace), holeS(data, pace)),
  );
  const speed = medianOf(body.speed.flatMap((v) => v ?? [])) ?? 0;
  const seenStep = medianOf(drafts.flatMap((d) => steps(d, heightPx)));
  const stepPx = seenStep ?? speed * pace;
  if (stepPx <= 0) return [];
  const swingS = typicalSwingS(drafts, stepPx, heightPx, pace);
  const found = drafts.flatMap((draft) =>
    finishLimb(draft, stepPx, swingS[isFore(draft.limb) ? 'fore' : 'hind'], heightPx, pace),
  );
  return withoutStrays(found, data, body, heightPx);
}

/** A stance with its place in the body, F px; null where the body wasn't seen. */
interface PlacedStance {
  readonly stance: FoundStance;
  readonly whole: boolean;
  /** Someone put the hoof right in it: it is that limb's, wherever it lies. */
  readonly byHand: boolean;
  readonly offset: number | null;
}

/**
 * A hoof mistaken for its neighbour puts a print half a stride away from where that limb's prints lie in the body:
 * where those lie that were put right by hand, if any were.
 */
function withoutStrays(
  found: readonly FoundStance[],
  data: SpanData,
  body: BodyMotion,
  heightPx: number,
): FoundStance[] {
  const placed = found.map((stance) => inBody(stance, data, body));
  const usual = (fore: boolean): number | null => {
    const alike = placed.filter((p) => isFore(p.stance.limb) === fore && p.whole && p.offset !== null);
    const sure = alike.filter((p) => p.byHand);
    return medianOf((sure.length > 0 ? sure : alike).flatMap((p) => p.offset ?? []));
  };
  const usualOf = { fore: usual(true), hind: usual(false) };
  return placed.flatMap(({ stance, offset, whole, byHand }) => {
    const middle = usualOf[isFore(stance.limb) ? 'fore' : 'hind'];
    const stray =
      whole && offset !== null && middle !== null && Math.abs(offset - middle) > STRAY_H * heightPx;
    return stray && !byHand ? [] : [stance];
  });
}

function inBody(stance: FoundStance, data: SpanData, body: BodyMotion): PlacedStance {
  const { on, off, restS } = stance;
  const [fromS, toS] = on && off ? [on.value, off.value] : [restS.fromS, restS.toS];
  const midS = (fromS + toS) / 2;
  const bodyF = localPolynomial(data.timesS, body.placeF, midS, 2.5 * data.frameS, 1)?.value ?? null;
  const hoof = data.hooves[stance.limb].slice(
    firstFrom(data.timesS, fromS),
    firstFrom(data.timesS, toS + 1e-9),
  );
  return {
    stance,
    whole: on !== null && off !== null,
    byHand: hoof.some((s) => s?.byHand),
    offset: bodyF === null ? null : stance.rest.f - bodyF,
  };
}

function draftLimb(data: SpanData, limb: Limb, swings: readonly Interval[], longestS: number): LimbDraft {
  const samples = seen(data.hooves[limb]);
  const starts = [Number.NEGATIVE_INFINITY, ...swings.map((s) => s.toS)];
  const ends = [...swings.map((s) => s.fromS), Number.POSITIVE_INFINITY];
  const rests = starts.map((fromS, k) => {
    const toS = ends[k] ?? fromS;
    const inside = between(samples, fromS, toS);
    return draftRest(inside);
  });
  return { limb, samples, holeS: longestS, swings, rests };
}

/** The middle 70 % of the samples tell where the toe rests: the ends may already be in swing. */
function draftRest(inside: readonly Sample[]): RestDraft | null {
  const first = inside[0];
  const last = inside[inside.length - 1];
  if (!first || !last) return null;
  const margin = 0.15 * (last.timeS - first.timeS);
  const middle = inside.filter((s) => s.timeS >= first.timeS + margin && s.timeS <= last.timeS - margin);
  const place = placeOf(middle.length > 0 ? middle : inside);
  return place && { restS: { fromS: first.timeS, toS: last.timeS }, place, count: inside.length };
}

/** Robust mean place of a resting toe. Errors of neighbouring frames are alike, so only half of them count. */
export function placeOf(samples: readonly Sample[]): Print | null {
  const f = robustRegress(samples.map((s) => ({ x: [1], y: s.f, sd: s.sdPx })));
  const d = robustRegress(samples.map((s) => ({ x: [1], y: s.d, sd: s.sdPx })));
  if (!f || !d) return null;
  const sdPx = medianOf(samples.map((s) => s.sdPx)) ?? 1;
  const share = 1.25 / Math.sqrt(Math.max(1, samples.length / 2));
  return {
    f: f.coefficients[0] ?? 0,
    d: d.coefficients[0] ?? 0,
    sdF: share * Math.max(sdPx, robustSd(f.residuals)),
    sdD: share * Math.max(sdPx, robustSd(d.residuals)),
  };
}

const isStep = (px: number, heightPx: number): boolean =>
  px > STEP_H[0] * heightPx && px < STEP_H[1] * heightPx;

/** Steps between rests that were seen well enough. */
function steps(draft: LimbDraft, heightPx: number): number[] {
  return draft.swings.flatMap((_, k) => {
    const before = draft.rests[k];
    const after = draft.rests[k + 1];
    if (!before || !after || before.count < 3 || after.count < 3) return [];
    const px = after.place.f - before.place.f;
    return isStep(px, heightPx) ? [px] : [];
  });
}

/** Swing durations of fore and hind limbs: median of the swings seen whole. */
function typicalSwingS(
  drafts: readonly LimbDraft[],
  stepPx: number,
  heightPx: number,
  pace: number,
): { fore: number; hind: number } {
  const whole = (fore: boolean): number[] =>
    drafts
      .filter((d) => isFore(d.limb) === fore)
      .flatMap((draft) =>
        draft.swings.map((_, k) => swingEdges(draft, k, stepPx, SWING_SHARE.usual * pace, heightPx, pace)),
      )
      .flatMap(({ on, off }) => (on && off && on.value > off.value ? [on.value - off.value] : []));
  const fore = medianOf(whole(true));
  const hind = medianOf(whole(false));
  return { fore: fore ?? hind ?? SWING_SHARE.usual * pace, hind: hind ?? fore ?? SWING_SHARE.usual * pace };
}

/** Hoof-off before and hoof-on after swing k. Edges and swing duration depend on each other: a few rounds settle them. */
function swingEdges(
  draft: LimbDraft,
  k: number,
  stepPx: number,
  typicalS: number,
  heightPx: number,
  pace: number,
): { off: Estimate | null; on: Estimate | null } {
  const swing = draft.swings[k];
  if (!swing) return { off: null, on: null };
  const firm = (rest: RestDraft | null | undefined): number | null =>
    rest && rest.count >= 3 ? rest.place.f : null;
  const before = firm(draft.rests[k]);
  const after = firm(draft.rests[k + 1]);
  const own = before !== null && after !== null ? after - before : Number.NaN;
  const step = isStep(own, heightPx) ? own : stepPx;
  let swingS = typicalS;
  let off: Estimate | null = null;
  let on: Estimate | null = null;
  for (let round = 0; round < 5; round++) {
    const input: Omit<EdgeInput, 'printF'> = { samples: draft.samples, ...swing, stepPx: step, swingS };
    off = before === null ? null : hoofOff({ ...input, printF: before });
    on = after === null ? null : hoofOn({ ...input, printF: after });
    if (off && on)
      swingS = Math.min(SWING_SHARE.most * pace, Math.max(SWING_SHARE.least * pace, on.value - off.value));
  }
  return { off: outsideHoles(off, draft), on: outsideHoles(on, draft) };
}

/** Null for an edge that lies where the hoof was not seen: there it was only thought out. */
function outsideHoles(edge: Estimate | null, { samples, holeS: longestS }: LimbDraft): Estimate | null {
  if (edge === null) return null;
  const after = samples.findIndex((s) => s.timeS > edge.value);
  const [before, next] = [samples[after - 1], samples[after]];
  return before && next && next.timeS - before.timeS > longestS ? null : edge;
}

function finishLimb(
  draft: LimbDraft,
  stepPx: number,
  swingS: number,
  heightPx: number,
  pace: number,
): FoundStance[] {
  const edges = draft.swings.map((_, k) => swingEdges(draft, k, stepPx, swingS, heightPx, pace));
  const bounds = draft.rests.map((_, k) => ({ on: edges[k - 1]?.on ?? null, off: edges[k]?.off ?? null }));
  const whole = bounds.flatMap(({ on, off }) =>
    on && off && off.value > on.value ? [off.value - on.value] : [],
  );
  const typicalS = medianOf(whole) ?? 1.7 * swingS;
  return draft.rests.flatMap((rest, k) => {
    const { on, off } = bounds[k] ?? { on: null, off: null };
    if (!rest || (on && off && off.value - on.value < 0.08 * pace)) return [];
    // A few slow frames at the end of the clip may still be swing.
    if (!on && !off && rest.restS.toS - rest.restS.fromS < SEEN_SHARE * typicalS) return [];
    const stance = {
      limb: draft.limb,
      on,
      off,
      restS: rest.restS,
      rest: rest.place,
      print: null,
      edited: false,
    };
    return [{ ...stance, print: midStancePrint(draft.samples, stance, typicalS) }];
  });
}

/**
 * The print: where the toe tip stands in mid-stance, from 20 to 70 % of the stance, after the hoof has come to rest
 * and before the heel lifts. A stance cut by the end of the clip counts when a third of it was seen.
 */
export function midStancePrint(
  samples: readonly Sample[],
  stance: Omit<FoundStance, 'print'>,
  typicalS: number,
): Print | null {
  const onS =
    stance.on?.value ?? (stance.off ? stance.off.value - typicalS : stance.restS.fromS - 0.2 * typicalS);
  const offS =
    stance.off?.value ?? (stance.on ? stance.on.value + typicalS : stance.restS.toS + 0.2 * typicalS);
  const inside = between(samples, onS, offS);
  const middle = inside.filter(
    (s) => s.timeS >= onS + 0.2 * (offS - onS) && s.timeS <= onS + 0.7 * (offS - onS),
  );
  const usable = middle.length >= 3 ? middle : inside;
  const first = usable[0];
  const last = usable[usable.length - 1];
  if (!first || !last || usable.length < 3) return null;
  const seenS = Math.min(offS, stance.restS.toS) - Math.max(onS, stance.restS.fromS);
  return seenS < SEEN_SHARE * typicalS ? null : placeOf(usable);
}
