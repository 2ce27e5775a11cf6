import { coaching, type CoachedPass } from '../../src/advice/coaching.ts';
import type { Moment } from '../../src/advice/moments.ts';
import type { LedFrame } from '../../src/gait/handlerPlace.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import { buildTrack } from '../../src/track/build.ts';
import type { ObservedFrame, Track } from '../../src/track/types.ts';
import { numbers, walk, type Walk, type WalkOptions } from '../support/kinematic.ts';

export const ledBy = (frames: readonly ObservedFrame[]): LedFrame[] =>
  frames.map((frame) => ({ ...frame, handlerFeet: [] }));

/** Led walks of many kinds, each with what strides of one horse differ by, and the noise of real points. */
export function plainWalk(seed: number): Partial<WalkOptions> {
  const n = numbers(seed * 53 + 11);
  const u = (low: number, high: number): number => low + (high - low) * n.uniform();
  const withersM = u(1.4, 1.75);
  return {
    ...{ seed, withersM, strides: 6, noise: 1, dropOut: 0.08 },
    ...{ strideLengthM: u(0.9, 1.12) * withersM, strideDurationS: u(1, 1.25), overtrackM: u(-0.1, 0.2) },
    ...{ lag: u(0.2, 0.27), strideCv: 0.025, footfallSdS: 0.008, footfallSdM: 0.01 },
    ...{ headAboveM: u(-0.1, 0.1), nodM: u(0.05, 0.13), headWanderM: 0.02 },
    direction: n.uniform() < 0.5 ? 'left' : 'right',
  };
}

export interface Coached {
  readonly made: Walk;
  readonly track: Track;
  readonly moments: Moment[];
}

/** One kinematic walk as the page would have it: through the track's smoother. */
export function coachedWalk(
  options: Partial<WalkOptions>,
  led: (frames: readonly ObservedFrame[], made: Walk) => LedFrame[] = ledBy,
): Coached {
  const made = walk(options);
  const frames = led(made.frames, made);
  const { widthPx, heightPx, withersM } = made.options;
  const track = buildTrack(frames, null, [], { widthPx, heightPx });
  const passes: CoachedPass[] = analyseTrack(track, { withersM });
  return { made, track, moments: coaching(frames, track, passes) };
}
