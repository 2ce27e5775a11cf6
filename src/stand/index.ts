/** The stand core: points of a horse that stands for its photograph in, measures and advice for the frame out. */
export { compareStands, difference, overlay, type Common, type StandChange } from './compare.ts';
export { NETWORK_STAND_ERRORS, standErrors, type StandErrors } from './errors.ts';
export { OFF_CODES, USUAL_LIMITS, type Off, type OffCode, type Range, type StandLimits } from './faults.ts';
export { standMeasures } from './measures.ts';
export type { Oblique } from './oblique.ts';
export type { Ground, StandPoints } from './places.ts';
export { proposeFrames, type Proposal, type ProposedFrame, type ProposeOptions } from './propose.ts';
export * from './reasons.ts';
export { stillPoints, stillSpans, type StillPoints, type StillSpan } from './still.ts';
export * from './types.ts';
