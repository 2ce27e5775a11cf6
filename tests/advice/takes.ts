/** Walks filmed in some way, with exact truth and the noise of real points, and what the take check says of them. */
import type { TakeCause } from '../../src/advice/faults.ts';
import { filmingNumbers } from '../../src/advice/filmingCard.ts';
import { takeCheck, type Cost, type Finding } from '../../src/advice/takeCheck.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import type { SidePass } from '../../src/gait/types.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame, Track } from '../../src/track/types.ts';
import { average, seeds, value } from '../gait/support.ts';
import { walk, type WalkOptions } from '../support/kinematic.ts';

export interface Checked {
  readonly track: Track;
  readonly passes: readonly SidePass[];
  readonly findings: readonly Finding[];
}
export type Frames = readonly ObservedFrame[];

export const CARD = { numbers: filmingNumbers(1.62), format: (m: number) => `${m.toFixed(1)} m` };

export function checked(
  options: Partial<WalkOptions>,
  height: 'given' | 'not given' = 'given',
  change: { frames?: (frames: Frames) => Frames; track?: (track: Track) => Track } = {},
): Checked {
  const made = walk({ noise: 1, dropOut: 0.08, strides: 4, strideCv: 0.02, ...options });
  const frames = change.frames?.(made.frames) ?? made.frames;
  const { widthPx, heightPx } = made.options;
  const built = buildTrack(frames, null, [], { widthPx, heightPx });
  const track = change.track?.(built) ?? built;
  const withersM = height === 'given' ? made.options.withersM : null;
  const passes = analyseTrack(track, { withersM });
  return { track, passes, findings: takeCheck(track, passes, { withersM }) };
}

export const causes = ({ findings }: Checked): TakeCause[] => findings.map(({ cause }) => cause);
export const costOf = ({ findings }: Checked, cause: TakeCause, of: Cost['of']): Cost | null =>
  findings.find((f) => f.cause === cause)?.costs.find((c) => c.of === of) ?? null;
export const half = ({ passes }: Checked, name: 'overtrackM' | 'strideLengthM'): number => {
  const [pass] = passes;
  if (!pass) throw new Error('no pass');
  const { low, high } = value(pass.measures[name]);
  return (high - low) / 2;
};
/** Mean over some walks of how much narrower an interval would be, m. */
export const narrower = (clips: readonly Checked[], cause: TakeCause, of: Cost['of']): number =>
  average(clips.map((clip) => costOf(clip, cause, of)?.narrowerM ?? 0));
export const part = (clips: readonly Checked[], cause: TakeCause, of: Cost['of']): number =>
  average(clips.map((clip) => costOf(clip, cause, of)?.partM ?? 0));
export const filmed = (options: Partial<WalkOptions>): Checked[] =>
  seeds(6).map((seed) => checked({ ...options, seed }));
