/** What following a horse through a clip carries from frame to frame: plain data. */
import type { Box } from '../clip/types.ts';
import type { Limb } from '../points.ts';
import type { Square } from './crop.ts';

/** Mean score of the best points above which they are trusted. */
export const GOOD = 0.5;
/** Mean score of the best points below which there is no horse in the square. */
export const POOR = 0.3;

/** A horse that the detector has seen more than once. */
export interface Candidate {
  readonly box: Box;
  /** Where and when it was first seen. */
  readonly from: { readonly x: number; readonly y: number };
  readonly sinceS: number;
  readonly lastS: number;
}

/** Where a horse was seen for sure, and how fast it went. */
export interface Sighting {
  readonly timeS: number;
  readonly square: Square;
  /** Of the square's centre, px/s. */
  readonly speed: { readonly x: number; readonly y: number };
}

/** Running mean and variance of a hoof's place along the horse, shares of the square's side. */
interface Spread {
  readonly mean: number;
  readonly variance: number;
}

export interface FollowState {
  readonly timeS: number | null;
  readonly square: Square | null;
  /** Speed of the square's centre, px/s. */
  readonly speed: { readonly x: number; readonly y: number };
  /** True until the points of a newly found horse were seen. */
  readonly fresh: boolean;
  /** -1 where the horse has faced left of late, 1 where right, between where it turns or comes or goes. */
  readonly facing: number;
  /** True while the network is shown the mirrored picture, so that to it the horse always faces left. */
  readonly mirrored: boolean;
  /** Number of the horse that is followed, 0 before the first; never given to another one. */
  readonly identity: number;
  /** True where what lies in the square is not the horse seen last: its number is given once its points are seen. */
  readonly another: boolean;
  readonly lastSeen: Sighting | null;
  readonly quality: number;
  readonly goodS: number | null;
  readonly detectedS: number | null;
  readonly followedSinceS: number | null;
  readonly limbs: Readonly<Partial<Record<Limb, Spread>>>;
  readonly candidates: readonly Candidate[];
  /** Box that the user has picked and that waits for the next detection. */
  readonly pick: Box | null;
  /** True once the user has chosen: no other horse takes over. */
  readonly picked: boolean;
  /** People as the detector saw them last, and where the horse's square was then. */
  readonly people: readonly Box[];
  readonly peopleFrom: Square | null;
}

export const nothingFollowed: FollowState = {
  timeS: null,
  square: null,
  speed: { x: 0, y: 0 },
  fresh: false,
  facing: 0,
  mirrored: false,
  identity: 0,
  another: true,
  lastSeen: null,
  quality: 0,
  goodS: null,
  detectedS: null,
  followedSinceS: null,
  limbs: {},
  candidates: [],
  pick: null,
  picked: false,
  people: [],
  peopleFrom: null,
};
