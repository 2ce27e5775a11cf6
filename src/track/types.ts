import type { PointName, Side } from '../points.ts';

/** x' = a x - b y + tx, y' = b x + a y + ty. */
export interface Similarity {
  readonly a: number;
  readonly b: number;
  readonly tx: number;
  readonly ty: number;
}

/** Motion of the still ground between two frames: maps px of this frame to px of the frame before. */
export interface MotionStep {
  readonly timeS: number;
  readonly toPrevious: Similarity;
  /** Features that agree with the motion, and all that were followed. */
  readonly inliers: number;
  readonly features: number;
  /** False where too little ground was seen: the step is then the identity or a bridge. */
  readonly ok: boolean;
  /** SD of the motion since the reference frame, px; absent where none was seen. */
  readonly sdPx?: number;
  /** The same motion under each longer LANES: see there. Absent where nothing moved. */
  readonly turns?: readonly Similarity[];
  /** What the picture's flow says of the focal length: (long side / f)^2 and its SD. */
  readonly bend?: { readonly value: number; readonly sd: number };
}

/** What a turning camera does to places in its picture: see turning.ts. */
export interface Lens {
  /** 1 / f^2, px^-2: 0 for a picture that only shifts, as a moving crop does. */
  readonly kappa: number;
  readonly kappaSd: number;
  readonly centre: { readonly x: number; readonly y: number };
}

/** What the track needs of a frame. Picture px, x right, y down. A structural subset of PoseFrame. */
export interface ObservedFrame {
  readonly timeS: number;
  readonly horse: {
    readonly box: readonly [number, number, number, number];
    readonly view: string;
    readonly points: Readonly<Partial<Record<PointName, { x: number; y: number; score: number }>>>;
  } | null;
  /** Number of the horse; frames without one count as of one horse. */
  readonly identity?: number;
  /** Blur of the horse, px of the picture; absent where it is not known. */
  readonly blurPx?: number;
}

/** A point put right by hand, in picture px of the frame shown at timeS. */
export interface PointCorrection {
  readonly kind: 'point';
  readonly id: string;
  readonly timeS: number;
  readonly point: PointName;
  readonly x: number;
  readonly y: number;
}

/** A point in the still track frame (px of the first frame of the clip). */
export interface TrackPoint {
  readonly x: number;
  readonly y: number;
  /** px/s */
  readonly vx: number;
  readonly vy: number;
  /** Standard deviation of the smoothed position, px. */
  readonly sdPx: number;
  readonly score: number;
  readonly source: 'network' | 'hand' | 'bridged';
}

/**
 * One horse through one clip, in the still frame: px of the first frame, x right, y down; where the camera turned, of
 * the cylinder that the first frame touches (turning.ts).
 */
export interface Track {
  readonly timesS: readonly number[];
  /** Per point, as long as timesS; null where the data do not allow a value. */
  readonly points: Readonly<Record<PointName, readonly (TrackPoint | null)[]>>;
  /** Image px of each frame to the still frame, through the lens: see toStillFrame. */
  readonly toStill: readonly Similarity[];
  /** Absent where the camera stood still, or only shifted its picture. */
  readonly lens?: Lens;
  /** The side of the horse that is seen in each frame, null where it isn't a side view. */
  readonly seenSide: readonly (Side | null)[];
  readonly pictureWidthPx: number;
  readonly pictureHeightPx: number;
  /** SD of the ground motion that has added up over one stride or so, px per sqrt(frame); 0 = still camera. */
  readonly groundSdPx: number;
  /** Blur of the horse in each frame, px of the picture; null where it was not told. */
  readonly blurPx?: readonly (number | null)[];
  /** Frames before which the camera's motion was lost; absent where it was seen throughout. */
  readonly groundLost?: readonly boolean[];
  /** Another horse, or the same one come back, was seen from the side for a second or more and left out. */
  readonly anotherLeftOut?: boolean;
}
