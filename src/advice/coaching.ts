import type { LedFrame } from '../gait/handlerPlace.ts';
import type { CoursePass } from '../gait/course.ts';
import { isMeasured } from '../gait/interval.ts';
import type { LineSpan } from '../gait/lineView.ts';
import type { ClipPass } from '../gait/passKinds.ts';
import type { LinePass, SidePass } from '../gait/types.ts';
import type { Track } from '../track/types.ts';
import { headTurns, highHeads } from './carriage.ts';
import { handlerAheads, hiddenLegs } from './leading.ts';
import { handful, type Found, type Moment } from './moments.ts';
import { paceMoments } from './pace.ts';

/** A pass to look for moments in; of a side pass its stances are needed, so that a mere span of one tells nothing. */
export type CoachedPass = SidePass | LinePass | LineSpan | ClipPass;

/** The passes of a course as they were measured, in the same order; a mere span where nothing was. */
export const measuredPasses = (course: readonly CoursePass[]): (SidePass | LinePass | ClipPass)[] =>
  course.map((one) => ('pass' in one && one.pass ? one.pass : one));

/**
 * Moments of a clip that can be led better next time, each larger than the error with which it is seen: of side passes
 * the head carried high, changes of pace, jogged strides, the handler in front of the shoulder or before a leg; of
 * passes away and back the head turned. Whether a head is turned is not told from the side: a turned head only looks a
 * little shorter there, and so does one with the nose held in. `frames`: what was seen, picture px, in order of time,
 * repeated pictures left out. In order of passes, then of time.
 */
export function coaching(
  frames: readonly LedFrame[],
  track: Track,
  passes: readonly CoachedPass[],
): Moment[] {
  return passes.flatMap((pass, i) => handful(momentsOf(frames, track, pass), i));
}

/**
 * The same of one pass of a course, `pass` being 0. What is measured may reach into the turns beside a pass: what lies there
 * by its middle is left out, as a horse is led otherwise through a turn.
 */
export function passCoaching(frames: readonly LedFrame[], track: Track, one: CoursePass): Moment[] {
  const isInside = ({ startS, endS }: Found): boolean => {
    const middleS = (startS + endS) / 2;
    return middleS >= one.startS && middleS <= one.endS;
  };
  return measuredPasses([one]).flatMap((pass) => handful(momentsOf(frames, track, pass).filter(isInside), 0));
}

/** Whether enough of a pass was measured to look at it: that nothing was found in it says something only then. */
export function isLookedAt(one: CoursePass): boolean {
  const pass = 'pass' in one ? one.pass : null;
  if (!pass) return false;
  if (pass.kind !== 'side') return isMeasured(pass.measures.pathDriftDeg);
  return isMeasured(pass.measures.strideDurationS) || (pass.headH ?? []).length > 0;
}

function momentsOf(frames: readonly LedFrame[], track: Track, pass: CoachedPass): Found[] {
  if ('stances' in pass) {
    return [
      ...highHeads(pass),
      ...paceMoments(pass),
      ...handlerAheads(frames, track, pass),
      ...hiddenLegs(frames, pass),
    ];
  }
  const { kind, startS, endS } = pass;
  return kind === 'away' || kind === 'towards' ? headTurns(frames, track, { kind, startS, endS }) : [];
}
