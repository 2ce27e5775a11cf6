/** The gait core: a track in, passes out. */
export { analyseSidePass, analyseTrack } from './analyse.ts';
export { analyseCourse, heightOf, type Course, type CoursePass } from './course.ts';
export { noPassWarnings } from './noPass.ts';
export type { ClipPass, PassKind } from './passKinds.ts';
export { findSidePasses } from './sidePasses.ts';
export { REASONS, type ReasonCode } from './reasons.ts';
export type { Span } from './series.ts';
export * from './types.ts';
