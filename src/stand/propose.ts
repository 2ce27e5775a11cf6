/** Which frames of a clip are fit for the photograph. */
import { firstFrom } from '../track/times.ts';
import type { Track } from '../track/types.ts';
import { badness, faultsOf, USUAL_LIMITS, type Off, type StandLimits } from './faults.ts';
import { obliqueOf } from './oblique.ts';
import { placed } from './places.ts';
import { valuesOf } from './quantities.ts';
import { NOT_JUDGED } from './reasons.ts';
import { frameOf, usualScene } from './scene.ts';
import { stillPoints, stillSpans, type StillSpan } from './still.ts';

/** A frame is judged by the mean of the still frames this near to it, s. */
const AROUND_S = 0.2;

export interface ProposedFrame {
  /** Index in the track. */
  readonly index: number;
  readonly timeS: number;
  /** Nothing: fit for the photograph. */
  readonly off: readonly Off[];
  /** 0 = nothing is off. */
  readonly badness: number;
}

export interface Proposal {
  /** Every frame in which the horse stands still, best first; of equal ones the one deeper in its still span. */
  readonly frames: readonly ProposedFrame[];
  /** Codes of what to look for oneself. */
  readonly notJudged: readonly (keyof typeof NOT_JUDGED)[];
}

export interface ProposeOptions {
  readonly withersM: number | null;
  /** What is asked of the stand; common practice where not given. */
  readonly limits?: Partial<StandLimits>;
}

function offAt(
  track: Track,
  span: StillSpan,
  index: number,
  withersM: number | null,
  limits: StandLimits,
): Off[] | null {
  const timeS = track.timesS[index] ?? 0;
  const first = Math.max(span.first, firstFrom(track.timesS, timeS - AROUND_S - 1e-9));
  const last = Math.min(span.last, firstFrom(track.timesS, timeS + AROUND_S + 1e-9) - 1);
  const { points, options } = stillPoints(track, { ...span, first, last });
  const [frame, scene] = [frameOf(options), usualScene(options)];
  const oblique = obliqueOf(points, frame, scene);
  const stand = oblique && placed(points, frame, { ...scene, obliqueRad: (oblique.deg * Math.PI) / 180 });
  if (!stand) return null;
  return faultsOf(valuesOf(span.nearSide, stand.placeOf), span.nearSide, oblique.deg, withersM, limits);
}

/**
 * The frames of a clip in which the horse stands still (all hooves at rest for LEAST_STILL_S), seen from one side, ranked:
 * square in front, open behind towards the viewer, not leaning over, head in its range, camera square (StandLimits). Each
 * with what is off, as codes with numbers (faults.ts), judged by the values alone, without their intervals: two frames of
 * one stand share most of their errors. Empty where the horse never stands still or can't be measured.
 */
export function proposeFrames(track: Track, { withersM, limits }: ProposeOptions): Proposal {
  const asked = { ...USUAL_LIMITS, ...limits };
  const height = withersM !== null && Number.isFinite(withersM) && withersM > 0 ? withersM : null;
  const all = stillSpans(track).flatMap((span) => {
    const found: (ProposedFrame & { readonly depth: number })[] = [];
    for (let index = span.first; index <= span.last; index++) {
      const off = offAt(track, span, index, height, asked);
      const timeS = track.timesS[index] ?? 0;
      const depth = Math.min(index - span.first, span.last - index);
      if (off) found.push({ index, timeS, off, badness: badness(off), depth });
    }
    return found;
  });
  const frames = all
    .sort((a, b) => a.badness - b.badness || b.depth - a.depth || a.index - b.index)
    .map(({ depth: _, ...frame }): ProposedFrame => frame);
  return { frames, notJudged: ['ears'] };
}
