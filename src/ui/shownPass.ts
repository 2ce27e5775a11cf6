/** Which pass of the course is shown, and what was measured of it. */
import type { CoursePass } from '../gait/index.ts';
import type { LinePass, SidePass } from '../gait/types.ts';

/** Null of a stand, of a turn, and of a walk past of which nothing can be measured. */
export const measuredOf = (one: CoursePass | null | undefined): SidePass | LinePass | null =>
  one && 'pass' in one ? one.pass : null;

export const sidePassesOf = (course: readonly CoursePass[]): SidePass[] =>
  course.flatMap((one) => (one.kind === 'side' && one.pass ? [one.pass] : []));

interface Borders {
  readonly startS: number;
  readonly endS: number;
}

/** A pass is shown from its first frame, which may lie a little before its start. */
const EDGE_S = 0.1;
const lies = (timeS: number, one: Borders | null | undefined, slackS = 0): boolean =>
  one !== null && one !== undefined && timeS >= one.startS - slackS && timeS <= one.endS + slackS;

/**
 * Index of the measured pass that a time lies in: the one at hand where that is true of it, or of none. What is measured of
 * a pass may reach beyond its borders.
 */
export function passAt(course: readonly CoursePass[], atHand: number, timeS: number): number {
  const own = course[atHand];
  if (lies(timeS, own, EDGE_S) || lies(timeS, measuredOf(own), EDGE_S)) return atHand;
  const other = course.findIndex((one) => measuredOf(one) && lies(timeS, one));
  return other < 0 ? atHand : other;
}

/** What is measured of a walk past may begin in the turn before it, or later than the pass. */
export const firstShownS = (one: CoursePass): number => Math.max(one.startS, measuredOf(one)?.startS ?? 0);

/** Whether what is measured reaches beyond the borders of its pass. */
export const reachesBeyond = (one: CoursePass, measured: Borders): boolean =>
  one.startS - measured.startS > EDGE_S || measured.endS - one.endS > EDGE_S;

/** The pass that a clip opens on: one past the camera before any other, what is measured before what is not. */
export function opening(course: readonly CoursePass[]): number {
  const rank = (one: CoursePass): number => (measuredOf(one) ? (one.kind === 'side' ? 0 : 1) : 2);
  const best = Math.min(...course.map(rank));
  return Math.max(
    0,
    course.findIndex((one) => rank(one) === best),
  );
}

/**
 * Index of a pass in the course as it is now: the one that shares most time with it. Of a part that was no pass: of what
 * lies at this time, -1 where that is none.
 */
export function againIn(course: readonly CoursePass[], before: Borders | null, timeS: number): number {
  if (!before) return course.findIndex((one) => lies(timeS, one));
  const shared = course.map((one) => Math.min(one.endS, before.endS) - Math.max(one.startS, before.startS));
  const most = Math.max(...shared);
  return most > 0 ? shared.indexOf(most) : course.findIndex((one) => lies(timeS, one));
}
