import { buildTrack } from '../../src/track/build.ts';
import type { Track } from '../../src/track/types.ts';
import { realFrames } from '../track/real.ts';

/**
 * The network output that comes with a real clip (*.keypoints.json: not truth) as a track, as the program makes it.
 * Its `hoof` is the middle of the hoof, not the toe; the camera stands still; every horse shows its left side.
 */
export const realTrack = (name: string): Track =>
  buildTrack(realFrames(name), null, [], { widthPx: 2208, heightPx: 1242 });
