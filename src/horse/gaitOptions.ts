import type { GaitOptions } from '../gait/types.ts';
import type { Correction } from './edits.ts';

/** What the measures of a clip are made with besides its track: the height at the withers (m) and corrections by hand. */
export function gaitOptions(corrections: readonly Correction[], withersM: number | null): GaitOptions {
  const groundDistance = corrections.findLast((c) => c.kind === 'distance');
  return {
    withersM,
    eventCorrections: corrections.filter((c) => c.kind === 'event'),
    ...(groundDistance ? { groundDistance } : {}),
  };
}
