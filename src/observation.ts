/** By what a clip was seen: what was seen of it once holds as long as this stays the same. */

/**
 * To be raised whenever the same network may see something else in the same clip: with any change of decoding, of
 * finding and following the horse, of reading points off the network, of the ground's motion, or of what is kept.
 */
export const OBSERVATION_VERSION = 5;

export interface SeenBy {
  /** Version of the keypoint network's weights. */
  readonly networkVersion: string;
  /** OBSERVATION_VERSION of the page that saw it; runs kept before there was one have none. */
  readonly observationVersion?: number;
}
