/** How far off points are seen: SDs in withers heights. */
export interface PointErrors {
  /** What stays the same all along a pass. */
  readonly withersUp: number;
  readonly croupUp: number;
  readonly pollUp: number;
  /** Of each toe by itself. */
  readonly toeForward: number;
  readonly toeUp: number;
  /** What all frames of a stance share, and the next stance doesn't. */
  readonly toeForwardOfStance: number;
}

/**
 * Those of the network that ships, version 2 of models/horse-keypoints (CARD.md, `val` part), against labels set by
 * hand: robust SDs about zero, so that they hold the mean error as well. The error of one horse's pictures was split
 * into what they share and what differs from picture to picture, by 42 photographs of as many horses and 20 frames of 4
 * ridden horses (`models/training/point_errors.py`):
 *
 * | point, direction | photographs, all | frames: between horses, within | here |
 * |---|---|---|---|
 * | withers, up | 1.3 % | 1.6, 1.35 (under the saddle) | 1.6 % |
 * | croup, up | 0.65 | 0, 0.45 | 0.65 |
 * | poll, up | 0.95 | 0.95, 0.75 | 1.1 |
 * | toe, forward | 1.35 | 0.6, 0.92 | 0.85 |
 * | toe, up | 1 | 0.45, 0.95 | 0.4 |
 *
 * Here: of the body the larger of photographs and between horses; of a toe the root mean square of between horses and of
 * what is left of the photographs without the part within; rounded up to the next 0.05. Of the part within, a stance
 * shares what is left without 0.5 % of the label and 0.4 % from frame to frame.
 *
 * Tails are longer than a normal law's: of the 42 photographs 5 withers and 7 polls lie beyond 1.96 SD, where 2 would be
 * expected; their root mean squares are 2.04 and 1.32 %, without the part within 1.53 and 1.09 %, for which the poll has
 * 1.1 here. Labels by the same eye differ by 0.5 - 1 %, which is in the part within. Few horses: the split is known to
 * about a third of itself. Measure anew with every version of the network.
 */
export const NETWORK_ERRORS: PointErrors = {
  withersUp: 0.016,
  croupUp: 0.0065,
  pollUp: 0.011,
  toeForward: 0.0085,
  toeUp: 0.004,
  toeForwardOfStance: 0.007,
};
