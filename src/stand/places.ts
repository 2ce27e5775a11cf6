/**
 * From a picture to places on the horse. Axes: along = forwards from the withers, up = above the ground, aside = from the
 * horse's mid-plane towards the camera; all in heights at the withers (H). Slopes and heights are against the line on
 * which the hooves stand. Oblique: positive where the forehand is nearer to the camera.
 */
import { regress } from '../gait/regression.ts';
import { HOOF, isFore, LIMBS, limbSide, type PointName, type Side } from '../points.ts';
import type { Point } from '../track/similarity.ts';
import { limbOf } from './errors.ts';

export type StandPoints = Readonly<Partial<Record<PointName, Point | null>>>;

/** What one picture tells of itself. */
export interface Frame {
  /** The side of the horse that is seen. */
  readonly nearSide: Side;
  /** x of the camera's axis in the picture, px. */
  readonly centreXPx: number;
}

/** What one picture does not tell. */
export interface Scene {
  readonly focalPx: number;
  /** Height of the lens. */
  readonly cameraH: number;
  /** From the mid-plane to the hooves, and to the point of shoulder. */
  readonly foreAsideH: number;
  readonly hindAsideH: number;
  readonly shoulderAsideH: number;
  readonly obliqueRad: number;
  /** Of the picture against the ground line; counts only where that line can't be seen. */
  readonly rollRad: number;
}

export interface Place {
  readonly alongH: number;
  readonly upH: number;
}

export interface Ground {
  /** Height at the withers, px. */
  readonly heightPx: number;
  /** Foot of the withers on the ground line of the mid-plane, picture px. */
  readonly foot: Point;
  /** Turn of the picture that levels the ground line, and slope of that line as it is seen: down in front positive. */
  readonly rollRad: number;
  readonly slope: number;
}

export interface Placed extends Ground {
  readonly placeOf: (name: PointName) => Place | null;
}

/** Px forward from the camera's axis, and down. */
interface Seen {
  readonly f: number;
  readonly y: number;
}

/** Horses fewer px high than this are not measured. */
const LEAST_PX = 20;

export const forwardSign = (nearSide: Side): 1 | -1 => (nearSide === 'left' ? -1 : 1);

const seenOf = ({ nearSide, centreXPx }: Frame, p: Point | null | undefined): Seen | null =>
  p && Number.isFinite(p.x + p.y) ? { f: forwardSign(nearSide) * (p.x - centreXPx), y: p.y } : null;

function asideOf(name: PointName, nearSide: Side, scene: Scene): number {
  if (name === 'point_of_shoulder') return scene.shoulderAsideH;
  const limb = limbOf(name);
  if (limb === null) return 0;
  return (limbSide(limb) === nearSide ? 1 : -1) * (isFore(limb) ? scene.foreAsideH : scene.hindAsideH);
}

/** Whether a fore and a hind hoof are seen, so that the ground line can be. */
export const isLineSeen = (points: StandPoints): boolean =>
  [true, false].every((fore) => LIMBS.some((limb) => isFore(limb) === fore && points[HOOF[limb]]));

interface Hoof extends Seen {
  readonly asideH: number;
}

/** Slope in the picture of the ground below the horse's mid-plane, under the withers, of a level camera. */
function obliqueSlope(scene: Scene, heightPx: number, withersF: number): number {
  const k = heightPx / scene.focalPx;
  const [sin, cos] = [Math.sin(scene.obliqueRad), Math.cos(scene.obliqueRad)];
  return (scene.cameraH * k * sin) / (cos + (withersF / heightPx) * k * sin);
}

/** The line below the mid-plane: hooves nearer to the camera stand lower in the picture, farther ones higher. */
function groundLine(
  hooves: readonly Hoof[],
  withersF: number,
  scene: Scene,
  heightPx: number,
  isFree: boolean,
): { y: number; slope: number } | null {
  const k = heightPx / scene.focalPx;
  const [sin, cos] = [Math.sin(scene.obliqueRad), Math.cos(scene.obliqueRad)];
  const rows = hooves.map(({ f, y, asideH: d }) => {
    const lower = (scene.cameraH * heightPx * k * d * cos) / (1 - k * d * cos);
    return { x: [1, f + d * sin * heightPx - withersF], y: y - lower, sd: 1 };
  });
  const usual = obliqueSlope(scene, heightPx, withersF) + Math.tan(scene.rollRad);
  const fit = regress([...rows, { x: [0, 1], y: usual, sd: isFree ? 10 : 1e-4 }]);
  const [y, slope] = fit?.coefficients ?? [];
  return y === undefined || slope === undefined ? null : { y, slope };
}

const turned = (p: Seen, about: Seen, rad: number): Seen => {
  const [c, s] = [Math.cos(rad), Math.sin(rad)];
  const [f, y] = [p.f - about.f, p.y - about.y];
  return { f: about.f + c * f + s * y, y: about.y - s * f + c * y };
};

interface Level {
  readonly heightPx: number;
  readonly foot: Seen;
  readonly rollRad: number;
  readonly slope: number;
}

/** Scale and ground depend on each other a little: three rounds settle it to 1e-4. */
function levelOf(withers: Seen, hooves: readonly Hoof[], scene: Scene, isFree: boolean): Level | null {
  let heightPx = Math.max(...hooves.map(({ y }) => y)) - withers.y;
  let level: Level | null = null;
  for (let round = 0; round < 3; round++) {
    if (!(heightPx >= LEAST_PX)) return null;
    const line = groundLine(hooves, withers.f, scene, heightPx, isFree);
    if (!line) return null;
    const oblique = obliqueSlope(scene, heightPx, withers.f);
    const rollRad = Math.atan(line.slope) - Math.atan(oblique);
    const foot = { f: withers.f, y: line.y };
    const top = turned(withers, foot, rollRad);
    heightPx = line.y + oblique * (top.f - withers.f) - top.y;
    level = { heightPx, foot, rollRad, slope: line.slope };
  }
  return heightPx >= LEAST_PX ? level : null;
}

/** Square below the withers on the ground line. */
function footPx({ nearSide, centreXPx }: Frame, withers: Seen, { foot, slope }: Level): Point {
  const ahead = (slope * (withers.y - foot.y)) / (1 + slope * slope);
  return { x: centreXPx + forwardSign(nearSide) * (foot.f + ahead), y: foot.y + slope * ahead };
}

/**
 * Places of the points under a scene; null where withers or all hooves are missing, or the horse is too small. A pinhole
 * camera: what is k H nearer than the mid-plane at the withers, in shares of the distance, is seen 1 / (1 - k) as large.
 */
export function placed(points: StandPoints, frame: Frame, scene: Scene): Placed | null {
  const withers = seenOf(frame, points.withers);
  const hooves = LIMBS.flatMap((limb): Hoof[] => {
    const seen = seenOf(frame, points[HOOF[limb]]);
    return seen ? [{ ...seen, asideH: asideOf(HOOF[limb], frame.nearSide, scene) }] : [];
  });
  if (!withers || hooves.length === 0) return null;
  const level = levelOf(withers, hooves, scene, isLineSeen(points));
  if (!level) return null;
  const { heightPx, foot, rollRad, slope } = level;
  const k = heightPx / scene.focalPx;
  const [sin, cos] = [Math.sin(scene.obliqueRad), Math.cos(scene.obliqueRad)];
  const top = turned(withers, foot, rollRad);
  const horizonY = top.y + (1 - scene.cameraH) * heightPx;
  const placeOf = (name: PointName): Place | null => {
    const seen = seenOf(frame, points[name]);
    if (!seen) return null;
    const { f, y } = turned(seen, foot, rollRad);
    const d = asideOf(name, frame.nearSide, scene);
    const F = f / heightPx;
    const alongH = (F - top.f / heightPx - F * k * d * cos + d * sin) / (cos + F * k * sin);
    const nearer = k * (alongH * sin + d * cos);
    const upH = scene.cameraH - ((y - horizonY) / heightPx) * (1 - nearer);
    return Number.isFinite(alongH + upH) ? { alongH, upH } : null;
  };
  return { heightPx, foot: footPx(frame, withers, level), rollRad, slope, placeOf };
}
