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

/** The moment of a pass that is nearest to a time. */
export const nearestIn = ({ startS, endS }: Borders, timeS: number): number =>
  Math.min(Math.max(timeS, startS), endS);

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
 * Index in the course as it is now of the pass that was `before.index` of `before.course`: the same one where there are as
 * many passes as before and it still shares time with it, as where a border was moved or moved back; else the one that shares
 * most time with it. Of a part that was no pass, or of none: of what lies at this time, -1 where that is none.
 */
export function againIn(course: readonly CoursePass[], before: Before, timeS: number): number {
  const one = before.course[before.index];
  const shared = course.map((now) =>
    one ? Math.min(now.endS, one.endS) - Math.max(now.startS, one.startS) : 0,
  );
  const most = Math.max(...shared);
  if (!(most > 0)) return course.findIndex((now) => lies(timeS, now));
  const isSame = course.length === before.course.length && (shared[before.index] ?? 0) > 0;
  return isSame ? before.index : shared.indexOf(most);
}

/** A course, and which of its passes is shown. */
interface Before {
  readonly course: readonly Borders[];
  readonly index: number;
}
