/** The closed sets of what is said of a stand in codes, and what to tell the user. */

/** Why something can't be measured. */
export const STAND_REASONS = {
  withersHeightMissing: 'Type in the height at the withers: without it the tool has no scale.',
  scaleUnsure: 'The withers and at least one hoof have to be seen: without them there is no scale.',
  pointHidden: 'The points needed were hidden.',
  pointsUnsure: 'The points needed lie too near to each other for this angle.',
  farSide: 'Of the point of shoulder only that of the side towards the camera is seen.',
  noStifle:
    'The angle at the hock lies between stifle and fetlock, and the stifle is not among the points found.',
  noButtock:
    'The length of the body ends at the point of buttock, which is not among the points found: point of shoulder to tailhead is given instead.',
  noOutline: 'This needs the outline of the horse, of which only single points are found.',
  otherSide: 'The two pictures show different sides of the horse.',
} as const;
export type StandReason = keyof typeof STAND_REASONS;

/** What is to be said beside a picture. */
export const STAND_WARNINGS = {
  oblique:
    'The camera seems to look at the horse from more than about 10 degrees off square: step to where you look straight at its side.',
} as const;
export type StandWarning = keyof typeof STAND_WARNINGS;

/** What is to be said beside a measure. */
export const STAND_NOTES = {
  jointsFollowStance:
    'Angles of the lower joints change with how the horse stands as much as between horses (Weller et al. 2006, Equine Vet J).',
  skinMoves: 'Angles at the top of the limb shift with the skin.',
  pointOfHock:
    'From the point of hock, at the rear outline, not from the middle of the joint: of a cannon bone that stands upright it is about 10 degrees below 0.',
} as const;
export type StandNote = keyof typeof STAND_NOTES;

/** What of a frame for the photograph can't be told by the points. */
export const NOT_JUDGED = {
  ears: 'Whether the ears are pricked can’t be told from the points: look for yourself.',
} as const;
