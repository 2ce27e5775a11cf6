/** The gait core: a track in, side passes out. */
export { analyseSidePass, analyseTrack } from './analyse.ts';
export { noPassWarnings } from './noPass.ts';
export { findSidePasses } from './sidePasses.ts';
export { REASONS, type ReasonCode } from './reasons.ts';
export type { Span } from './series.ts';
export * from './types.ts';
