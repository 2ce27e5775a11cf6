/**
 * The results as JSON for other programs. The schema's name changes when a field changes its meaning. Other kinds of passes
 * than walks past did not change it: every entry says its kind, from the first, and those of walks past are as they were.
 */
import { type UsualHandler, usualHandler } from '../advice/leading.ts';
import type { ClipInfo } from '../clip/types.ts';
import type { CoursePass } from '../gait/index.ts';
import { spansSet } from '../gait/givenPasses.ts';
import { noPassWarnings } from '../gait/noPass.ts';
import { REASONS, type ReasonCode } from '../gait/reasons.ts';
import type { LineMeasures, Measure, Measures, SidePass } from '../gait/types.ts';
import type { Correction } from '../horse/edits.ts';
import type { Gait, Observed } from '../pipeline.ts';
import type { PointName } from '../points.ts';
import type { HorsePose, Observation } from '../pose/types.ts';
import { probability, type Way } from '../pose/reliability.ts';
import { toPicture } from '../track/turning.ts';

export const RESULT_SCHEMA = 'ledwalk/1';
export const KEYPOINTS_SCHEMA = 'ledwalk-keypoints/1';

interface Timed {
  readonly startS: number;
  readonly endS: number;
}

/** A walk past the camera. */
export interface SideEntry extends Timed {
  readonly kind: 'side';
  readonly direction: 'left' | 'right';
  readonly measures: Measures;
  readonly inWithersHeights: SidePass['inWithersHeights'];
  readonly obliquityDeg: number | null;
  readonly warnings: readonly ReasonCode[];
  /** Height at the withers that the lengths rest on, m: typed in, or by a known distance on the ground. */
  readonly withersM: number | null;
  /** Where the handler walks along the horse; null where too few frames tell. */
  readonly handler: UsualHandler | null;
  /** How much in this pass was put right by hand. */
  readonly corrected: { readonly points: number; readonly landingsAndLiftOffs: number };
}

/** A walk away from the camera or back to it. */
export interface LineEntry extends Timed {
  readonly kind: 'away' | 'towards';
  readonly measures: LineMeasures;
  readonly corrected: { readonly points: number };
}

export type PassEntry = SideEntry | LineEntry | (Timed & { readonly kind: 'stand' | 'turn' });

export interface ResultFile {
  readonly schema: typeof RESULT_SCHEMA;
  readonly clip: ClipInfo & {
    readonly frames: number;
    /** As typed in, m. */
    readonly withersM: number | null;
    /** What is wrong with the file although it could be read. */
    readonly damage?: string;
  };
  /** In order of time. */
  readonly passes: readonly PassEntry[];
  /** True where the borders and kinds of the passes were set by hand. */
  readonly passesByHand?: true;
  /** Why nothing was measured in any pass, and what bears on it. */
  readonly reason?: ReasonCode;
  readonly warnings?: readonly ReasonCode[];
}

export function resultFile(seen: Observed, gait: Gait, withersM: number | null): ResultFile {
  const damage = seen.ending?.message;
  const noHorse = seen.frames.every((frame) => frame.horse === null);
  const passes = gait.course.flatMap((one) => passEntry(seen, gait, one));
  return {
    schema: RESULT_SCHEMA,
    clip: { ...seen.clip, frames: seen.frames.length, withersM, ...(damage ? { damage } : {}) },
    passes,
    ...(isByHand(gait) ? { passesByHand: true } : {}),
    ...whyNone(gait, passes, noHorse),
  };
}

/** Whether passes were set by hand, and not only such as can be none. */
function isByHand({ corrections }: Gait): boolean {
  const set = corrections.findLast((one) => one.kind === 'passes');
  return set !== undefined && spansSet(set) !== null;
}

/** Why nothing was measured: for want of a pass, or what the first measure of one says. Empty where anything was. */
function whyNone(
  gait: Gait,
  passes: readonly PassEntry[],
  noHorse: boolean,
): Pick<ResultFile, 'reason' | 'warnings'> {
  if (noHorse) return { reason: 'noHorse' };
  const all = passes.flatMap((pass) => ('measures' in pass ? measuresIn(pass.measures) : []));
  if (all.some(isTold)) return {};
  const [reason] = all.flatMap((measure) => ('reason' in measure ? measure.reason : []));
  return reason === undefined ? noPass(gait) : { reason };
}

const measuresIn = (part: unknown): Measure[] =>
  typeof part !== 'object' || part === null
    ? []
    : 'reason' in part || 'low' in part
      ? [part as Measure]
      : Object.values(part).flatMap(measuresIn);

/** The phase of the left hind is 0 by definition, without an interval, and nothing that was measured. */
const isTold = (measure: Measure): boolean => 'value' in measure && measure.low < measure.high;

/** None of a walk past of which nothing could be measured. */
function passEntry(seen: Observed, { track, corrections }: Gait, one: CoursePass): PassEntry[] {
  const { startS, endS } = one;
  if (!('pass' in one)) return [{ kind: one.kind, startS, endS }];
  if (one.kind === 'side') {
    return one.pass ? [sideEntry(one.pass, usualHandler(seen.frames, track, one), corrections)] : [];
  }
  const { kind, measures } = one.pass;
  return [{ kind, startS, endS, measures, corrected: { points: count('point', within(one, corrections)) } }];
}

function sideEntry(
  pass: SidePass,
  handler: UsualHandler | null,
  corrections: Gait['corrections'],
): SideEntry {
  const { kind, direction, startS, endS, measures, inWithersHeights, obliquityDeg, warnings, withersM } =
    pass;
  const own = within(pass, corrections);
  return {
    ...{ kind, direction, startS, endS, measures, inWithersHeights, obliquityDeg, warnings, withersM },
    handler,
    corrected: { points: count('point', own), landingsAndLiftOffs: count('event', own) },
  };
}

const within = <T extends { readonly timeS: number }>({ startS, endS }: Timed, list: readonly T[]): T[] =>
  list.filter(({ timeS }) => timeS >= startS && timeS <= endS);
const count = (kind: Correction['kind'], list: readonly Correction[]): number =>
  list.filter((one) => one.kind === kind).length;

function noPass({ track }: Gait): Pick<ResultFile, 'reason' | 'warnings'> {
  const warnings = noPassWarnings(track);
  return { reason: 'noPass', ...(warnings.length > 0 ? { warnings } : {}) };
}

/** What to tell the user of a result in which nothing was measured; empty where anything was. */
export const whyNoPass = ({ reason, warnings = [] }: ResultFile): string[] =>
  (reason ? [reason, ...warnings] : []).map((code) => REASONS[code]);

export interface KeypointsFile {
  readonly schema: typeof KEYPOINTS_SCHEMA;
  readonly clip: ClipInfo;
  readonly frames: readonly {
    readonly timeS: number;
    readonly horse: HorsePose | null;
    /** The same points after smoothing and corrections, picture px; left out where the data do not allow a value. Score 1: put right by hand. */
    readonly smoothed: Partial<Record<PointName, Observation>>;
  }[];
}

/** A horse whose scores are probabilities: that the point lies within 2 % of the height at the withers of where it is. */
export function withProbabilities(horse: HorsePose, way: Way): HorsePose {
  const points = Object.entries(horse.points) as [PointName, Observation][];
  const told = points.map(([name, at]) => [name, { ...at, score: probability(name, at.score, way) }]);
  return { ...horse, points: Object.fromEntries(told) as HorsePose['points'] };
}

/** Every frame's points in picture px: as the network saw them, and as the track has them (a frame shown again: those of the first). */
export function keypointsFile(seen: Observed, gait: Gait): KeypointsFile {
  const { points, toStill, lens } = gait.track;
  let i = -1;
  const names = Object.keys(points) as PointName[];
  return {
    schema: KEYPOINTS_SCHEMA,
    clip: seen.clip,
    frames: seen.frames.map(({ timeS, horse, repeated }) => {
      if (!repeated) i++;
      const smoothed: Partial<Record<PointName, Observation>> = {};
      const motion = toStill[i];
      for (const name of names) {
        const at = points[name][i];
        if (!at || !motion) continue;
        const score = at.source === 'hand' ? 1 : probability(name, at.score, 'once');
        smoothed[name] = { ...toPicture(lens, motion, at), score };
      }
      return { timeS, horse: horse && withProbabilities(horse, 'once'), smoothed };
    }),
  };
}
