/** The labels of one drawn picture. */
import { HOOF, LIMBS, POINT_NAMES, type Limb, type PointName } from '../../../src/points.ts';
import type { Camera, Px } from '../camera.ts';
import { add, mix, smoothStep, type Vec } from '../curves.ts';
import type { Motion } from '../motion.ts';
import { onHoof, type HorsePose } from '../pose.ts';
import { inSquare, type Square } from './lens.ts';
import type { View } from './plans.ts';
import type { Warp } from './shape.ts';

/** [x, y, v], px of the picture, pixel centres at whole numbers; v: 2 seen, 1 hidden, 0 outside the picture. */
export type Label = readonly [number, number, 0 | 1 | 2];

export interface PictureLabels {
  readonly file: string;
  readonly view: View;
  readonly seed: number;
  /** Height of the withers above the ground, px. */
  readonly withersPx: number;
  readonly points: Readonly<Record<PointName, Label>>;
}
export interface LabelsFile {
  readonly names: readonly PointName[];
  readonly size: number;
  readonly images: readonly PictureLabels[];
}

/** Bearing of the camera from the horse, degrees: 0 = ahead, 90 = to its left. */
export function bearingOf(camera: Camera, middle: Vec): number {
  return (Math.atan2(camera.place[1] - middle[1], camera.place[0] - middle[0]) * 180) / Math.PI;
}

/** Within 45 degrees of straight, as truth.ts has it. */
export function viewFrom(bearingDeg: number): View {
  const b = Math.abs(bearingDeg);
  if (b <= 45) return 'towards';
  if (b >= 135) return 'away';
  return bearingDeg > 0 ? 'left' : 'right';
}

/** Rim of the hoof where it meets the ground: as hoofRings of horseSkin.ts. */
function rim(m: Motion, pose: HorsePose, limb: Limb): Vec[] {
  const h = m.withersM;
  const { toe, hoof } = pose.limbs[limb];
  return Array.from({ length: 24 }, (_, i) => {
    const angle = (2 * Math.PI * i) / 24;
    const place = onHoof(toe, hoof.pitchRad, 0.0365 * h * (1 - Math.cos(angle)), 0);
    return add(place, [0, 0.0365 * h * Math.sin(angle), 0]);
  });
}

/** Middle of the lowest visible edge: half way between the rim's ends across, and there its lowest place. */
export function lowestEdge(list: readonly Px[]): Px {
  const middle = (Math.min(...list.map((p) => p.x)) + Math.max(...list.map((p) => p.x))) / 2;
  const crossings = list.flatMap((p, i) => {
    const q = list[(i + 1) % list.length] ?? p;
    if (p.x <= middle === q.x <= middle) return [];
    return [p.y + ((q.y - p.y) * (middle - p.x)) / (q.x - p.x)];
  });
  return { x: middle, y: crossings.length > 0 ? Math.max(...crossings) : Math.max(...list.map((p) => p.y)) };
}

/** Straight from the front or behind within this many degrees the lowest edge counts; from SIDE on the toe's tip; mixed between. */
const STRAIGHT_DEG = 12;
const SIDE_DEG = 40;

/** How much of a hoof's label is the toe's tip rather than the middle of the lowest edge. */
export function toeShare(bearingDeg: number): number {
  const off = Math.min(Math.abs(bearingDeg), 180 - Math.abs(bearingDeg));
  return smoothStep((off - STRAIGHT_DEG) / (SIDE_DEG - STRAIGHT_DEG));
}

export interface Taken {
  readonly motion: Motion;
  readonly pose: HorsePose;
  readonly camera: Camera;
  readonly square: Square;
  readonly size: number;
  readonly warp: Warp;
  readonly points: Readonly<Record<PointName, Vec>>;
  readonly bearingDeg: number;
}

function hoofPx(t: Taken, limb: Limb): Px {
  const px = (at: Vec): Px => inSquare(t.camera, t.square, t.size, at);
  const toe = px(t.points[HOOF[limb]]);
  const share = toeShare(t.bearingDeg);
  if (share >= 1) return toe;
  const low = lowestEdge(rim(t.motion, t.pose, limb).map((at) => px(t.warp(...at))));
  const [x, y] = mix([low.x, low.y, 0], [toe.x, toe.y, 0], share);
  return { x, y };
}

const rounded = (x: number): number => Number(x.toFixed(2));

/** `inside`: the part of the square that the picture really shows, px edges. */
export function labelsOf(
  t: Taken,
  hidden: Readonly<Record<PointName, boolean>>,
  inside: readonly [number, number, number, number],
): Record<PointName, Label> {
  const places = Object.fromEntries(
    POINT_NAMES.map((name) => [name, inSquare(t.camera, t.square, t.size, t.points[name])]),
  ) as Record<PointName, Px>;
  for (const limb of LIMBS) places[HOOF[limb]] = hoofPx(t, limb);
  const [x0, y0, x1, y1] = inside;
  return Object.fromEntries(
    POINT_NAMES.map((name) => {
      const { x, y } = places[name];
      const within = x >= x0 - 0.5 && y >= y0 - 0.5 && x <= x1 - 0.5 && y <= y1 - 0.5;
      return [name, [rounded(x), rounded(y), within ? (hidden[name] ? 1 : 2) : 0]];
    }),
  ) as unknown as Record<PointName, Label>;
}

/** Between the withers and the ground below them, px. */
export function withersPx(t: Taken): number {
  const [x, y, z] = t.points.withers;
  const [top, foot] = [[x, y, z] as const, [x, y, 0] as const].map((at) =>
    inSquare(t.camera, t.square, t.size, at),
  );
  return rounded(Math.hypot((top?.x ?? 0) - (foot?.x ?? 0), (top?.y ?? 0) - (foot?.y ?? 0)));
}
