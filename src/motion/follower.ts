import type { Box, GrayPicture } from '../clip/types.ts';
import {
  agreeing,
  applySimilarity,
  compose,
  fitRobust,
  fitSimilarity,
  IDENTITY,
  invert,
  type Point,
  scaleOf,
} from '../track/similarity.ts';
import type { MotionStep, Similarity } from '../track/types.ts';
import { type Feature, findFeatures, follow, inside } from './features.ts';
import type { Cv, Mat } from './opencv.ts';
import type { MotionInput } from './types.ts';

/** A feature agrees with the motion when it lies this near, px of the small picture. */
const AGREE_PX = 0.8;
/** Fewer features than this in agreement are no ground to stand on. */
const FEWEST = 8;
/** A new reference is taken when fewer than this share of the features that once agreed still do. */
const KEEP_SHARE = 0.6;
/** Older references that are kept, and the share of one that should be in sight before it is taken up again. */
const MOST_KEPT = 6;
const RECALL_SHARE = 0.62;
/** A camera that has moved less than this since the reference, px of the small picture, stands still. */
const STILL_PX = 0.2;
/** Boxes are grown by this share of their size: hair, tail, shadow and the rope move too. */
const GROW = 0.06;

interface Reference {
  readonly image: Mat;
  readonly features: readonly Feature[];
  /** Small px of the reference to small px of the clip's first frame. */
  readonly toStill: Similarity;
  /** The most of its features that agreed in one frame. */
  best: number;
}

interface Pair {
  readonly feature: Feature;
  readonly at: Point;
}

interface Match {
  /** Small px of the frame to those of the reference. */
  readonly toReference: Similarity;
  readonly inliers: number;
  readonly followed: number;
  /** SD of the translation, small px. */
  readonly sdPx: number;
}

const grow = ([x0, y0, x1, y1]: Box): Box => {
  const [dx, dy] = [GROW * (x1 - x0) + 2, GROW * (y1 - y0) + 2];
  return [x0 - dx, y0 - dy, x1 + dx, y1 + dy];
};

/** Small picture px from full picture px and back; pixel centres are at whole numbers in both. */
const shrink = (p: Point, s: number): Point => ({ x: (p.x + 0.5) * s - 0.5, y: (p.y + 0.5) * s - 0.5 });
function enlarged(t: Similarity, s: number): Similarity {
  if (t === IDENTITY) return t;
  const offset = 0.5 - 0.5 / s;
  const toSmall: Similarity = { a: s, b: 0, tx: 0.5 * s - 0.5, ty: 0.5 * s - 0.5 };
  const toFull: Similarity = { a: 1 / s, b: 0, tx: -offset, ty: -offset };
  return compose(toFull, compose(t, toSmall));
}

/**
 * Follows the still surroundings from frame to frame. Each frame is matched with a reference frame for as long
 * as enough of its corners are in sight, so that errors add up with each new reference, not with each frame.
 */
export class GroundFollower {
  private readonly cv: Cv;
  private reference: Reference | null = null;
  /** The latest references, the one in use among them: a camera that swings back finds its old place again. */
  private kept: Reference[] = [];
  /** Small px of the last frame to those of the first. */
  private toStill: Similarity = IDENTITY;
  /** The last step, as the guess for the next one. */
  private lastStep: Similarity = IDENTITY;
  /** Row of the ground under the hooves and height of the horse, small px. */
  private ground: { readonly row: number; readonly height: number } | null = null;

  constructor(cv: Cv) {
    this.cv = cv;
  }

  /** Motion of the camera since the frame before, in px of the full picture. */
  step(input: MotionInput): MotionStep {
    const s = input.gray.widthPx / input.pictureWidthPx;
    const masks = this.smallMasks(input.masks, s);
    const image = this.load(input.gray);
    const guess = compose(this.toStill, this.lastStep);
    const before = this.toStill;
    let match: Match | null = null;
    if (this.reference) {
      match = this.match(this.reference, image, masks, guess);
      this.toStill = match ? this.settled(compose(this.reference.toStill, match.toReference), image) : guess;
      this.lastStep = this.toStill === before ? IDENTITY : compose(invert(before), this.toStill);
    }
    const first = this.reference === null;
    const worn = first || !match || this.isWorn(match);
    if (!worn || (match && this.recall(image, masks))) image.delete();
    else this.renew(image, masks);
    return {
      timeS: input.timeS,
      toPrevious: enlarged(this.lastStep, s),
      inliers: match?.inliers ?? 0,
      features: match?.followed ?? 0,
      ok: first || match !== null,
      sdPx: match ? match.sdPx / s : 0,
    };
  }

  free(): void {
    for (const { image } of this.kept) image.delete();
    this.kept = [];
    this.reference = null;
  }

  private load(gray: GrayPicture): Mat {
    const image = new this.cv.Mat(gray.heightPx, gray.widthPx, this.cv.CV_8UC1);
    image.data.set(gray.data);
    return image;
  }

  private smallMasks(masks: readonly Box[], s: number): Box[] {
    const small = masks.map(([x0, y0, x1, y1]): Box => {
      const [p, q] = [shrink({ x: x0, y: y0 }, s), shrink({ x: x1, y: y1 }, s)];
      return [p.x, p.y, q.x, q.y];
    });
    const horse = small[0];
    if (horse) this.ground = { row: horse[3], height: horse[3] - horse[1] };
    return small.map(grow);
  }

  /** Rows of the ground on which the horse walks; without a horse, the lower half. */
  private band(heightPx: number): readonly [number, number] {
    if (!this.ground) return [heightPx / 2, heightPx];
    const { row, height } = this.ground;
    return [row - 0.2 * height, row + 0.35 * height];
  }

  private isWorn(match: Match): boolean {
    if (!this.reference) return true;
    this.reference.best = Math.max(this.reference.best, match.inliers);
    return match.inliers < KEEP_SHARE * this.reference.best;
  }

  /** Takes up an older reference of which most should be in sight now; false where there is none. */
  private recall(image: Mat, masks: readonly Box[]): boolean {
    const seen = (r: Reference): number =>
      this.awaited(r, image, masks, this.toStill).length / r.features.length;
    const best = this.kept
      .filter((r) => r !== this.reference && r.best >= 2 * FEWEST)
      .map((r) => ({ r, share: seen(r) }))
      .sort((a, b) => b.share - a.share)[0];
    if (!best || best.share < RECALL_SHARE) return false;
    this.reference = best.r;
    return true;
  }

  private renew(image: Mat, masks: readonly Box[]): void {
    const features = findFeatures(this.cv, image, this.band(image.rows), masks);
    this.reference = { image, features, toStill: this.toStill, best: 0 };
    this.kept.push(this.reference);
    if (this.kept.length > MOST_KEPT) this.kept.shift()?.image.delete();
  }

  /** Features of a reference that should be in sight, and where. */
  private awaited(reference: Reference, image: Mat, masks: readonly Box[], guess: Similarity): Pair[] {
    const toFrame = compose(invert(guess), reference.toStill);
    const picture: Box = [0, 0, image.cols - 1, image.rows - 1];
    return reference.features
      .map((feature) => ({ feature, at: applySimilarity(toFrame, feature) }))
      .filter(({ at }) => inside(picture, at) && !masks.some((m) => inside(m, at, 4)));
  }

  private match(reference: Reference, image: Mat, masks: readonly Box[], guess: Similarity): Match | null {
    const awaited = this.awaited(reference, image, masks, guess);
    const found = follow(
      this.cv,
      reference.image,
      image,
      awaited.map(({ feature }) => feature),
      awaited.map(({ at }) => at),
    );
    const pairs = awaited.flatMap(({ feature }, i) => {
      const at = found[i];
      return at && !masks.some((m) => inside(m, at)) ? [{ feature, at }] : [];
    });
    const fit = this.fit(pairs);
    return fit && { ...fit, followed: pairs.length };
  }

  /** Fits the band of ground first, then all that agrees with it, the nearer to the hooves' row the heavier. */
  private fit(pairs: readonly Pair[]): Pick<Match, 'toReference' | 'inliers' | 'sdPx'> | null {
    const band = pairs.filter(({ feature }) => feature.band);
    const on = (list: typeof pairs) =>
      fitRobust(
        list.map(({ at }) => at),
        list.map(({ feature }) => feature),
        AGREE_PX,
      );
    const ofBand = band.length >= 2 * FEWEST ? on(band) : null;
    const robust = ofBand && ofBand.inliers >= Math.max(FEWEST, 0.4 * band.length) ? ofBand : on(pairs);
    if (!robust || robust.inliers < FEWEST) return null;
    const from = pairs.map(({ at }) => at);
    const to = pairs.map(({ feature }) => feature);
    const agrees = agreeing(robust.similarity, from, to, AGREE_PX);
    const weights = pairs.map(({ at }, i) => (agrees[i] ? this.weight(at) : 0));
    const toReference = fitSimilarity(from, to, weights) ?? robust.similarity;
    if (Math.abs(Math.log(scaleOf(toReference))) > 0.7) return null;
    const inliers = agrees.filter(Boolean).length;
    return { toReference, inliers, sdPx: spread(toReference, from, to, agrees) / Math.sqrt(inliers) };
  }

  private weight(p: Point): number {
    if (!this.ground) return 1;
    const away = (p.y - this.ground.row) / (0.3 * this.ground.height);
    return 1 / (1 + away * away);
  }

  /** The reference's own place where the camera has not moved since; so a still camera gives exactly no motion. */
  private settled(toStill: Similarity, image: Mat): Similarity {
    if (!this.reference) return toStill;
    const [w, h] = [image.cols, image.rows];
    const corners: Point[] = [
      { x: 0, y: h / 2 },
      { x: w, y: h / 2 },
      { x: 0, y: h },
      { x: w, y: h },
    ];
    const moved = Math.max(
      ...corners.map((corner) => {
        const [p, q] = [
          applySimilarity(toStill, corner),
          applySimilarity(this.reference?.toStill ?? IDENTITY, corner),
        ];
        return Math.hypot(p.x - q.x, p.y - q.y);
      }),
    );
    return moved < STILL_PX ? this.reference.toStill : toStill;
  }
}

function spread(
  s: Similarity,
  from: readonly Point[],
  to: readonly Point[],
  agrees: readonly boolean[],
): number {
  let sum = 0;
  let n = 0;
  from.forEach((f, i) => {
    const g = to[i];
    if (!agrees[i] || !g) return;
    const p = applySimilarity(s, f);
    sum += ((p.x - g.x) ** 2 + (p.y - g.y) ** 2) / 2;
    n += 1;
  });
  return Math.sqrt(sum / Math.max(1, n - 2));
}
