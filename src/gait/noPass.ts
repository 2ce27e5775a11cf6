import type { Track } from '../track/types.ts';
import type { ReasonCode } from './reasons.ts';
import { isGroundLost } from './series.ts';

/** What bears on there being no pass in a clip in which a horse was seen. */
export function noPassWarnings(track: Track): ReasonCode[] {
  return [
    ...(track.anotherLeftOut ? (['anotherLeftOut'] as const) : []),
    ...(isGroundLost(track) ? (['groundUnsure'] as const) : []),
  ];
}
