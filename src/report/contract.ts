/** The results as JSON for other programs. The schema's name changes when a field changes its meaning. */
import type { ClipInfo } from '../clip/types.ts';
import { noPassWarnings } from '../gait/noPass.ts';
import { REASONS, type ReasonCode } from '../gait/reasons.ts';
import type { Measures } from '../gait/types.ts';
import type { Correction } from '../horse/edits.ts';
import type { Gait, Observed } from '../pipeline.ts';
import type { PointName } from '../points.ts';
import { usualHandlerPlace } from '../gait/handlerPlace.ts';
import type { HorsePose, Observation } from '../pose/types.ts';
import { probability, type Way } from '../pose/reliability.ts';
import { toPicture } from '../track/turning.ts';

export const RESULT_SCHEMA = 'ledwalk/1';
export const KEYPOINTS_SCHEMA = 'ledwalk-keypoints/1';

export interface ResultFile {
  readonly schema: typeof RESULT_SCHEMA;
  readonly clip: ClipInfo & {
    readonly frames: number;
    /** As typed in, m. */
    readonly withersM: number | null;
    /** What is wrong with the file although it could be read. */
    readonly damage?: string;
  };
  readonly passes: readonly {
    readonly kind: 'side';
    readonly direction: 'left' | 'right';
    readonly startS: number;
    readonly endS: number;
    readonly measures: Measures;
    readonly inWithersHeights: Gait['passes'][number]['inWithersHeights'];
    readonly obliquityDeg: number | null;
    readonly warnings: readonly ReasonCode[];
    /** Height at the withers that the lengths rest on, m: typed in, or by a known distance on the ground. */
    readonly withersM: number | null;
    /** Where the handler walks along the horse; null where no handler's feet were seen. */
    readonly handler: ReturnType<typeof usualHandlerPlace>;
    /** How much in this pass was put right by hand. */
    readonly corrected: { readonly points: number; readonly landingsAndLiftOffs: number };
  }[];
  /** Why there is no pass, and what bears on it. */
  readonly reason?: ReasonCode;
  readonly warnings?: readonly ReasonCode[];
}

export function resultFile(seen: Observed, gait: Gait, withersM: number | null): ResultFile {
  const damage = seen.ending?.message;
  const noHorse = seen.frames.every((frame) => frame.horse === null);
  return {
    schema: RESULT_SCHEMA,
    clip: { ...seen.clip, frames: seen.frames.length, withersM, ...(damage ? { damage } : {}) },
    passes: gait.passes.map(
      ({ kind, direction, startS, endS, measures, inWithersHeights, obliquityDeg, warnings, ...pass }) => ({
        kind,
        direction,
        startS,
        endS,
        measures,
        inWithersHeights,
        obliquityDeg,
        warnings,
        withersM: pass.withersM,
        handler: usualHandlerPlace(seen.frames.filter(({ timeS }) => timeS >= startS && timeS <= endS)),
        corrected: corrected(gait.corrections.filter(({ timeS }) => timeS >= startS && timeS <= endS)),
      }),
    ),
    ...(gait.passes.length > 0 ? {} : noHorse ? { reason: 'noHorse' } : noSidePass(gait)),
  };
}

function noSidePass({ track }: Gait): Pick<ResultFile, 'reason' | 'warnings'> {
  const warnings = noPassWarnings(track);
  return { reason: 'noSidePass', ...(warnings.length > 0 ? { warnings } : {}) };
}

/** What to tell the user of a result without a pass; empty where there is one. */
export const whyNoPass = ({ reason, warnings = [] }: ResultFile): string[] =>
  (reason ? [reason, ...warnings] : []).map((code) => REASONS[code]);

const corrected = (inPass: readonly Correction[]): ResultFile['passes'][number]['corrected'] => ({
  points: inPass.filter(({ kind }) => kind === 'point').length,
  landingsAndLiftOffs: inPass.filter(({ kind }) => kind === 'event').length,
});

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
