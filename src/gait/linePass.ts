import { HOOF, LIMBS, type PointName } from '../points.ts';
import type { Track } from '../track/types.ts';
import { notMeasured } from './interval.ts';
import { STICK_SD_M } from './lengthMeasures.ts';
import { HEAD_TOLERANCE_M, lineMeasures, type BodyPaths } from './lineMeasures.ts';
import { linePath, SMOOTHER_H } from './linePath.ts';
import { linePlot } from './linePlot.ts';
import { lineSteps, type LineSteps } from './lineSteps.ts';
import { lineData, nearEnd, type LineData, type LineSpan } from './lineView.ts';
import type { ReasonCode } from './reasons.ts';
import { isGroundLost } from './series.ts';
import type { Estimate } from './statistics.ts';
import type { LineMeasures, LinePass } from './types.ts';

/**
 * A pass away from the camera or back to it. `withersM`: height at the withers, m; null where not given: then no length is
 * given, but the drift is. `withersSdM`: SD of that height, m; a stick's where not given.
 */
export function analyseLinePass(
  track: Track,
  span: LineSpan,
  withersM: number | null,
  withersSdM = STICK_SD_M,
): LinePass {
  const { kind, startS, endS } = span;
  const withers = withersM === null ? null : { value: withersM, sd: withersSdM };
  return { kind, startS, endS, ...analysed(track, span, withers) };
}

type Analysed = Pick<LinePass, 'measures' | 'plot'>;

function analysed(track: Track, span: LineSpan, withers: Estimate | null): Analysed {
  const seen = seenLine(track, span);
  if (typeof seen === 'string') return noneBecause(seen);
  const { data, path, steps } = seen;
  const measures = lineMeasures(data, seen, steps, withers);
  return withers === null ? { measures } : { measures, plot: linePlot(data, path, steps, withers.value) };
}

/** What all that is told of a pass away or back rests on. */
export interface LineSeen extends BodyPaths {
  readonly data: LineData;
  readonly steps: LineSteps;
}

/** The same of a span, or why nothing can be told of it. */
export function seenLine(track: Track, span: LineSpan): LineSeen | ReasonCode {
  const at = track.timesS.flatMap((s, i) => (s >= span.startS && s <= span.endS ? [i] : []));
  if (isGroundLost(track, at)) return 'groundUnsure';
  const data = lineData(track, span);
  const hidden = whyHidden(data);
  if (hidden) return hidden;
  const steps = lineSteps(data);
  if (!steps) return 'tooFewStrides';
  const path = linePath(data, steps.prints);
  if (!path) return 'scaleUnsure';
  return { data, steps, path, smoother: linePath(data, steps.prints, SMOOTHER_H) ?? path };
}

/** What of the near end was seen in fewer than half of the frames. */
function whyHidden({ points, span, timesS }: LineData): ReasonCode | null {
  const { limbs, top } = nearEnd(span);
  const seen = (name: PointName): number => points[name].filter((p) => p !== null).length / timesS.length;
  if (limbs.some((limb) => seen(HOOF[limb]) < 0.5)) return 'hoofHidden';
  return seen(top) < 0.5 ? 'pointHidden' : null;
}

function noneBecause(reason: ReasonCode): Analysed {
  const none = notMeasured(reason);
  const [LH, LF, RH, RF] = LIMBS.map(() => none) as [typeof none, typeof none, typeof none, typeof none];
  const measures: LineMeasures = {
    ...{ pathDriftDeg: none, pathRmsM: none, baseWidthForeM: none, baseWidthHindM: none },
    hindOnForeM: { left: none, right: none },
    swingOutM: { LH, LF, RH, RF },
    head: { toleranceM: HEAD_TOLERANCE_M, poll: { asideM: none }, muzzle: { asideM: none } },
  };
  return { measures };
}
