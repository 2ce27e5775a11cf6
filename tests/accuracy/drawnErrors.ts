import type { PointErrors } from '../../src/gait/pointErrors.ts';

/**
 * Errors of points on drawn horses, with which the bench asks whether the intervals are right where points are more
 * exact than on real ones. Measured with version 3 of the network on the side passes of the four walking sample clips,
 * four horses that are not of the bench, against their truth (`models/training/point_errors.py`): what differs between
 * passes and, of a toe, between the stances of a pass, SDs about zero, rounded up to the next 0.05 % of the withers height.
 * The croup is seen .65 % too high in the median. Four horses: known to about a third of itself. The intervals still
 * allow for what drawn clips lack: a stick that is a centimetre off, strides as unlike each other as a real horse's, of
 * which the few of a pass are but a sample (the bench's truth is the mean of just those).
 */
export const DRAWN_ERRORS: PointErrors = {
  withersUp: 0.002,
  croupUp: 0.007,
  pollUp: 0.004,
  toeForward: 0.0015,
  toeUp: 0.002,
  toeForwardOfStance: 0.0025,
};
