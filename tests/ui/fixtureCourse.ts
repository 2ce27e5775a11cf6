/** Passes of the drawn clip by their kind, as found or as set by hand. */
import { spansSet } from '../../src/gait/givenPasses.ts';
import type { ClipPass, CoursePass } from '../../src/gait/index.ts';
import type { SidePass } from '../../src/gait/types.ts';
import type { Correction } from '../../src/horse/edits.ts';
import type { Gait } from '../../src/ui/engine.ts';
import { fixtureLine } from './fixtureLine.ts';

/** As if the clip showed more than a walk past. */
export const COURSE: readonly ClipPass[] = [
  { kind: 'away', startS: 0, endS: 59 / 60 },
  { kind: 'turn', startS: 1, endS: 103 / 60 },
  { kind: 'side', startS: 104 / 60, endS: 3.2, direction: 'left' },
  { kind: 'towards', startS: 3.4, endS: 269 / 60 },
];

/** `side`: what was measured of the drawn horse; a walk past has it, with its own borders. */
export function fixtureCourse(
  found: readonly ClipPass[],
  side: SidePass,
  corrections: readonly Correction[],
  withersM: number | null,
): Pick<Gait, 'course' | 'passes'> {
  const set = corrections.findLast((c) => c.kind === 'passes');
  const spans = (set && spansSet(set)) ?? found;
  const course = spans.map(({ kind, startS, endS }): CoursePass => {
    if (kind === 'stand' || kind === 'turn') return { kind, startS, endS };
    if (kind === 'side')
      return { kind, startS, endS, direction: side.direction, pass: { ...side, startS, endS } };
    return { kind, startS, endS, pass: fixtureLine({ kind, startS, endS }, withersM) };
  });
  return { course, passes: course.flatMap((one) => (one.kind === 'side' && one.pass ? [one.pass] : [])) };
}
