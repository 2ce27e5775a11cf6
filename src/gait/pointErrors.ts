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
 * Those of the network that ships, version 3 of models/horse-keypoints (CARD.md, `val` part), against labels set by
 * hand: robust SDs about zero, so that they hold the mean error as well. The error of one horse's pictures was split
 * into what they share and what differs from picture to picture, by 42 photographs of as many horses and 20 frames of 4
 * ridden horses (`models/training/point_errors.py`):
 *
 * | point, direction | photographs, all | frames: between horses, within | here |
 * |---|---|---|---|
 * | withers, up | 1.37 % | 1.69, 1.37 (under the saddle) | 1.7 % |
 * | croup, up | 0.60 | 0, 0.41 | 0.6 |
 * | poll, up | 1.04 | 1.12, 0.81 | 1.15 |
 * | toe, forward | 1.41 | 0.55, 0.97 | 0.85 |
 * | toe, up | 1.04 | 0.46, 0.95 | 0.45 |
 *
 * Here: of the body the larger of photographs and between horses; of a toe the root mean square of between horses and of
 * what is left of the photographs without the part within; rounded up to the next 0.05. Of the part within, a stance
 * shares what is left without 0.5 % of the label and 0.4 % from frame to frame.
 *
 * Tails are longer than a normal law's: 95 % of the withers lie within 3.9 %, of the polls within 2.8 %, where 1.96 SD would be
 * 3.3 and 2.3. Labels by the same eye differ by 0.5 - 1 %, which is in the part within. Few horses: the split is known to
 * about a third of itself. Measure anew with every version of the network.
 */
export const NETWORK_ERRORS: PointErrors = {
  withersUp: 0.017,
  croupUp: 0.006,
  pollUp: 0.0115,
  toeForward: 0.0085,
  toeUp: 0.0045,
  toeForwardOfStance: 0.0075,
};
