import type { PictureSize } from './build.ts';
import { composeTurns } from './turning.ts';
import { applySimilarity, IDENTITY } from './similarity.ts';
import type { Lens, MotionStep, Similarity } from './types.ts';

/**
 * The focal length of a clip is known at its end only: each step of the camera is fitted under several, as
 * (long side / f)^2. What holds between them follows by interpolation (error of a wide pan below .1 %). 0 is a picture
 * that only shifts; 1.8 a phone's main camera; 6 one at its widest.
 */
export const LANES: readonly number[] = [0, 1, 2.5, 6];

/** Before the clip has told: a phone's main camera (1.2 - 2.4, see FOCAL_SHARE in the core), or one zoomed in. */
export const USUAL_BEND = { value: 1.3, sd: 0.9 };
/** Frames close in time err alike: about so many count as one. */
const ALIKE_FRAMES = 15;
/** Lenses bend straight lines by about this much, which looks like another focal length (our assumption, no source). */
const LENS_REL_SD = 0.04;

export const centreOf = ({ widthPx, heightPx }: PictureSize): Lens['centre'] => ({
  x: (widthPx - 1) / 2,
  y: (heightPx - 1) / 2,
});

const longSide = ({ widthPx, heightPx }: PictureSize): number => Math.max(widthPx, heightPx);

export function lensWith(bend: number, sd: number, picture: PictureSize): Lens {
  const unit = longSide(picture) ** -2;
  return { kappa: bend * unit, kappaSd: sd * unit, centre: centreOf(picture) };
}

/** A picture that moves by less than this share of its long side is one that stands: its lens bends nothing. */
const LEAST_TURN = 0.01;

/** How far the picture's centre moves to and fro in all, px. */
function swayPx(motion: readonly MotionStep[], picture: PictureSize): number {
  const still = lensWith(0, 0, picture);
  const centres = toStillOf(
    motion.map(({ timeS }) => timeS),
    motion,
    picture,
    still,
  ).map((s) => applySimilarity(s, still.centre));
  const range = (list: readonly number[]): number =>
    list.reduce((a, b) => Math.max(a, b), -Infinity) - list.reduce((a, b) => Math.min(a, b), Infinity);
  return Math.hypot(range(centres.map(({ x }) => x)), range(centres.map(({ y }) => y)));
}

/** The lens of a clip as its steps tell it, from what is usual where they tell nothing; undefined where the camera stood. */
export function lensOf(motion: readonly MotionStep[] | null, picture: PictureSize): Lens | undefined {
  if (!motion?.some(({ turns }) => turns !== undefined)) return undefined;
  if (swayPx(motion, picture) < LEAST_TURN * longSide(picture)) return undefined;
  const told = motion.flatMap(({ bend }) => (bend && bend.sd > 0 && Number.isFinite(bend.sd) ? [bend] : []));
  const weight = told.reduce((sum, { sd }) => sum + sd ** -2, 0);
  if (!(weight > 0)) return lensWith(USUAL_BEND.value, USUAL_BEND.sd, picture);
  const mean = told.reduce((sum, { value, sd }) => sum + value * sd ** -2, 0) / weight;
  const scatter = told.reduce((sum, { value, sd }) => sum + ((value - mean) / sd) ** 2, 0) / weight;
  const groups = Math.max(1, told.length / ALIKE_FRAMES);
  const variance = Math.max(ALIKE_FRAMES / weight, scatter / groups);
  const w = USUAL_BEND.sd ** 2 / (USUAL_BEND.sd ** 2 + variance);
  const value = Math.max(0, Math.min(LANES.at(-1) ?? 0, USUAL_BEND.value + w * (mean - USUAL_BEND.value)));
  return lensWith(
    value,
    Math.hypot(Math.sqrt(w * variance), 2 * LENS_REL_SD * Math.max(value, 0.2)),
    picture,
  );
}

/** Lagrange's interpolation over LANES. */
function between(bend: number, turns: readonly Similarity[]): Similarity {
  const sum = { a: 0, b: 0, tx: 0, ty: 0 };
  turns.forEach((turn, k) => {
    const at = LANES[k] ?? 0;
    const w = LANES.reduce((u, other, j) => (j === k ? u : (u * (bend - other)) / (at - other)), 1);
    sum.a += w * turn.a;
    sum.b += w * turn.b;
    sum.tx += w * turn.tx;
    sum.ty += w * turn.ty;
  });
  return sum;
}

export const turnWith = (lens: Lens, picture: PictureSize, turns: readonly Similarity[]): Similarity =>
  between(lens.kappa * longSide(picture) ** 2, turns);

/** The turns under all LANES of one frame, each composed with the next step. */
export const composeLanes = (
  lanes: readonly Lens[],
  second: readonly Similarity[],
  first: readonly Similarity[],
): Similarity[] => lanes.map((lane, k) => composeTurns(lane, second[k] ?? IDENTITY, first[k] ?? IDENTITY));

export const lanesOf = (picture: PictureSize): Lens[] => LANES.map((bend) => lensWith(bend, 0, picture));

/** Image px of each frame to the still frame: the steps of the camera, composed. */
export function toStillOf(
  timesS: readonly number[],
  motion: readonly MotionStep[] | null,
  picture: PictureSize,
  lens: Lens = lensWith(0, 0, picture),
): Similarity[] {
  let still = IDENTITY;
  let next = 0;
  return timesS.map((timeS, i) => {
    // Steps of frames that are not in the list still moved the camera.
    for (; motion && next < motion.length && (motion[next]?.timeS ?? Infinity) <= timeS + 1e-6; next++) {
      const step = motion[next];
      if (step && i > 0 && !isRest(step)) still = composeTurns(lens, still, stepWith(lens, picture, step));
    }
    return still;
  });
}

const stepWith = (lens: Lens, picture: PictureSize, { toPrevious, turns }: MotionStep): Similarity =>
  turns ? turnWith(lens, picture, [toPrevious, ...turns]) : toPrevious;

export const isRest = ({ toPrevious: s }: MotionStep): boolean =>
  s.a === 1 && s.b === 0 && s.tx === 0 && s.ty === 0;
