import type { Box, GrayPicture } from '../clip/types.ts';
import { composeLanes, LANES, lanesOf, lensWith, turnWith, USUAL_BEND } from '../track/lens.ts';
import { compose, IDENTITY, type Point } from '../track/similarity.ts';
import { matrixOf, throughLens, turnBetween } from '../track/turning.ts';
import type { Lens, MotionStep, Similarity } from '../track/types.ts';
import { type Feature, findFeatures, follow, inside } from './features.ts';
import type { Cv, Mat } from './opencv.ts';
import { FEWEST, type Ground, type Lanes, type Match, matchTurn, type Pair } from './match.ts';
import type { Prior } from './turnFit.ts';
import type { MotionInput } from './types.ts';

/** A new reference is taken when fewer than this share of the features that once agreed still do. */
const KEEP_SHARE = 0.6;
/** Older references that are kept, and the share of one that should be in sight before it is taken up again. */
const MOST_KEPT = 6;
const RECALL_SHARE = 0.62;
/** A camera that has moved less than this since the reference, px of the small picture, stands still. */
const STILL_PX = 0.2;
/** Frames close in time err alike; what is never surer than this, (long side / f)^2. */
const ALIKE_FRAMES = 15;
const SUREST_BEND = 0.02;
/** Boxes are grown by this share of their size: hair, tail, shadow and the rope move too. */
const GROW = 0.06;

const AT_REST: Lanes = LANES.map(() => IDENTITY);

interface Reference {
  readonly image: Mat;
  readonly features: readonly Feature[];
  /** The reference to the clip's first frame. */
  readonly toStill: Lanes;
  /** The most of its features that agreed in one frame. */
  best: number;
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
  /** The last frame to the first. */
  private toStill: Lanes = AT_REST;
  /** The last step, as the guess for the next one. */
  private lastStep: Lanes = AT_REST;
  /** Row of the ground under the hooves and height of the horse, small px. */
  private ground: Ground | null = null;
  /** (long side / f)^2 as the clip has told it so far. */
  private bend: Prior = USUAL_BEND;
  private size = { widthPx: 1, heightPx: 1 };
  private lanes: readonly Lens[] = [];

  constructor(cv: Cv) {
    this.cv = cv;
  }

  /** Motion of the camera since the frame before, in px of the full picture. */
  step(input: MotionInput): MotionStep {
    const s = input.gray.widthPx / input.pictureWidthPx;
    const masks = this.smallMasks(input.masks, s);
    const image = this.load(input.gray);
    const before = this.toStill;
    const guess = composeLanes(this.lanes, before, this.lastStep);
    let match: Match | null = null;
    if (this.reference) {
      match = this.match(this.reference, image, masks, guess);
      this.toStill = match ? this.settled(this.reference, match) : guess;
      this.lastStep = this.toStill === before ? AT_REST : this.between(this.toStill, before);
      if (match && this.toStill !== this.reference.toStill) this.learn(match.bend);
    }
    const first = this.reference === null;
    const worn = first || !match || this.isWorn(match);
    if (!worn || (match && this.recall(image, masks))) image.delete();
    else this.renew(image, masks);
    return this.report(input.timeS, s, match, first);
  }

  free(): void {
    for (const { image } of this.kept) image.delete();
    this.kept = [];
    this.reference = null;
  }

  private report(timeS: number, s: number, match: Match | null, first: boolean): MotionStep {
    const [toPrevious = IDENTITY, ...turns] = this.lastStep.map((turn) => enlarged(turn, s));
    return {
      timeS,
      toPrevious,
      inliers: match?.inliers ?? 0,
      features: match?.followed ?? 0,
      ok: first || match !== null,
      ...(match ? { sdPx: match.sdPx / s } : {}),
      ...(this.lastStep === AT_REST ? {} : { turns }),
      ...(this.lastStep === AT_REST || !match || !Number.isFinite(match.bend.sd) ? {} : { bend: match.bend }),
    };
  }

  private between(from: Lanes, to: Lanes): Lanes {
    return this.lanes.map((lane, k) => turnBetween(lane, from[k] ?? IDENTITY, to[k] ?? IDENTITY));
  }

  /** Frames close in time err alike, so each adds a part of what it tells. */
  private learn({ value, sd }: Prior): void {
    const [known, more] = [this.bend.sd ** -2, sd ** -2 / ALIKE_FRAMES];
    const sum = known + more;
    this.bend = {
      value: Math.max(0, (this.bend.value * known + value * more) / sum),
      sd: Math.max(sum ** -0.5, SUREST_BEND),
    };
  }

  private lens(): Lens {
    return lensWith(this.bend.value, this.bend.sd, this.size);
  }

  private load(gray: GrayPicture): Mat {
    const image = new this.cv.Mat(gray.heightPx, gray.widthPx, this.cv.CV_8UC1);
    image.data.set(gray.data);
    if (this.size.widthPx !== gray.widthPx || this.size.heightPx !== gray.heightPx) {
      this.size = { widthPx: gray.widthPx, heightPx: gray.heightPx };
      this.lanes = lanesOf(this.size);
    }
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
  private awaited(reference: Reference, image: Mat, masks: readonly Box[], guess: Lanes): Pair[] {
    const lens = this.lens();
    const through = matrixOf(lens, turnWith(lens, this.size, this.between(reference.toStill, guess)));
    const picture: Box = [0, 0, image.cols - 1, image.rows - 1];
    return reference.features
      .map((feature) => ({ feature, at: throughLens(lens, through, feature) }))
      .filter(({ at: p }) => inside(picture, p) && !masks.some((m) => inside(m, p, 4)));
  }

  private match(reference: Reference, image: Mat, masks: readonly Box[], guess: Lanes): Match | null {
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
    return matchTurn(pairs, this.ground, this.lens(), this.lanes);
  }

  /** The reference's own place where the camera has not moved since; so a still camera gives exactly no motion. */
  private settled(reference: Reference, match: Match): Lanes {
    const [w, h] = [this.size.widthPx, this.size.heightPx];
    const [flat] = match.toReference;
    const lens = this.lanes[0];
    if (!flat || !lens) return reference.toStill;
    const m = matrixOf(lens, flat);
    const moved = [
      { x: 0, y: h / 2 },
      { x: w, y: h / 2 },
      { x: 0, y: h },
      { x: w, y: h },
    ].map((corner) => {
      const p = throughLens(lens, m, corner);
      return Math.hypot(p.x - corner.x, p.y - corner.y);
    });
    return Math.max(...moved) < STILL_PX
      ? reference.toStill
      : composeLanes(this.lanes, reference.toStill, match.toReference);
  }
}
