import { applySimilarity, type Point } from './similarity.ts';
import type { Lens, Similarity } from './types.ts';

/**
 * A camera that stands and turns. Its picture moves by a homography K R K^-1 (Hartley & Zisserman 2004, Multiple View
 * Geometry, 8.4), written here with the four numbers of a similarity about the picture's centre: (a, b) roll and zoom,
 * ty pitch, tx yaw, the last two as f times the angle, px. With kappa = 1 / f^2 everything is smooth in kappa: at 0,
 * the longest of focal lengths, it is the plain similarity. The still frame is the cylinder round the camera, unrolled:
 * x = f times the azimuth, y = f times the height over the ground-plan distance.
 */

/** A 3 x 3 matrix by rows, that takes (x, y, 1) from the centre to a direction (X, Y, Z) in px, px, 1. */
export type Matrix3 = readonly [number, number, number, number, number, number, number, number, number];

/** Below this angle a turn is a shift to the last digit. */
const NO_ANGLE = 1e-6;

/** cos w and sin w / sqrt(kappa) of the angle w = t sqrt(kappa); kappa may pass below 0 in a fit. */
function turnBy(kappa: number, t: number): readonly [number, number] {
  const root = Math.sqrt(Math.abs(kappa));
  const angle = root * t;
  if (Math.abs(angle) < NO_ANGLE) return [1, t];
  return kappa > 0 ? [Math.cos(angle), Math.sin(angle) / root] : [Math.cosh(angle), Math.sinh(angle) / root];
}

/** The t of turnBy from its sine and cosine, in any proportion. */
function turnFrom(kappa: number, sin: number, cos: number): number {
  const root = Math.sqrt(Math.abs(kappa));
  if (root * Math.abs(sin) < NO_ANGLE * cos) return sin / cos;
  return kappa > 0
    ? Math.atan2(root * sin, cos) / root
    : Math.atanh(Math.max(-0.99, Math.min(0.99, (root * sin) / cos))) / root;
}

const product = (m: Matrix3, n: Matrix3): Matrix3 => {
  const at = (i: 0 | 3 | 6, j: 0 | 1 | 2): number =>
    m[i] * n[j] + (m[i + 1] ?? 0) * (n[j + 3] ?? 0) + (m[i + 2] ?? 0) * (n[j + 6] ?? 0);
  return [at(0, 0), at(0, 1), at(0, 2), at(3, 0), at(3, 1), at(3, 2), at(6, 0), at(6, 1), at(6, 2)];
};

const opposite = ([a, b, c, d, e, f, g, h, i]: Matrix3): Matrix3 => [-a, -b, -c, -d, -e, -f, -g, -h, -i];

/** The inverse but for its scale. */
const adjugate = ([a, b, c, d, e, f, g, h, i]: Matrix3): Matrix3 => [
  e * i - f * h,
  c * h - b * i,
  b * f - c * e,
  f * g - d * i,
  a * i - c * g,
  c * d - a * f,
  d * h - e * g,
  b * g - a * h,
  a * e - b * d,
];

const yaw = (kappa: number, t: number): Matrix3 => {
  const [c, s] = turnBy(kappa, t);
  return [c, 0, s, 0, 1, 0, -kappa * s, 0, c];
};
const pitch = (kappa: number, t: number): Matrix3 => {
  const [c, s] = turnBy(kappa, t);
  return [1, 0, 0, 0, c, s, 0, -kappa * s, c];
};

/** Yaw and pitch: where the picture's centre goes. */
const shiftOf = ({ centre: c }: Lens, s: Similarity): Point => ({
  x: s.a * c.x - s.b * c.y + s.tx - c.x,
  y: s.b * c.x + s.a * c.y + s.ty - c.y,
});

const withShift = ({ centre: c }: Lens, a: number, b: number, shift: Point): Similarity => ({
  a,
  b,
  tx: shift.x - a * c.x + b * c.y + c.x,
  ty: shift.y - b * c.x - a * c.y + c.y,
});

export function matrixOf(lens: Lens, s: Similarity): Matrix3 {
  const shift = shiftOf(lens, s);
  const turned = product(yaw(lens.kappa, shift.x), pitch(lens.kappa, shift.y));
  return product(turned, [s.a, -s.b, 0, s.b, s.a, 0, 0, 0, 1]);
}

/** The four numbers of a matrix; a zoom together with a wide turn has no exact ones, these are the nearest. */
function fromMatrix(lens: Lens, m: Matrix3): Similarity {
  const x = turnFrom(lens.kappa, m[2], m[8]);
  const level = product(yaw(lens.kappa, -x), m);
  const y = turnFrom(lens.kappa, level[5], level[8]);
  const [a, b, , c, d, , , , scale] = product(pitch(lens.kappa, -y), level);
  return withShift(lens, (a + d) / 2 / scale, (c - b) / 2 / scale, { x, y });
}

/** The turn `first`, then `second`; a yaw goes on beyond half a circle. */
export function composeTurns(lens: Lens, second: Similarity, first: Similarity): Similarity {
  const both = fromMatrix(lens, product(matrixOf(lens, second), matrixOf(lens, first)));
  if (!(lens.kappa > 0)) return both;
  const circle = (2 * Math.PI) / Math.sqrt(lens.kappa);
  const expected = shiftOf(lens, second).x + shiftOf(lens, first).x;
  return { ...both, tx: both.tx + circle * Math.round((expected - shiftOf(lens, both).x) / circle) };
}

/** The turn that leads from one frame to another, both given as turns to a third. */
export function turnBetween(lens: Lens, from: Similarity, to: Similarity): Similarity {
  const between = product(adjugate(matrixOf(lens, to)), matrixOf(lens, from));
  // A direction and its opposite are one place in the picture: the one in front counts.
  return fromMatrix(lens, between[8] < 0 ? opposite(between) : between);
}

/** Picture to picture: where the place p of one frame is seen in the frame that s leads to. NaN behind the camera. */
export function throughLens({ centre }: Lens, m: Matrix3, p: Point): Point {
  const [x, y] = [p.x - centre.x, p.y - centre.y];
  const z = m[6] * x + m[7] * y + m[8];
  return z > 0
    ? { x: centre.x + (m[0] * x + m[1] * y + m[2]) / z, y: centre.y + (m[3] * x + m[4] * y + m[5]) / z }
    : { x: NaN, y: NaN };
}

/** Picture px to px of the still frame. */
export function toStillFrame(lens: Lens | undefined, s: Similarity, p: Point): Point {
  if (!lens) return applySimilarity(s, p);
  const { centre, kappa } = lens;
  const shift = shiftOf(lens, s);
  const [qx, qy] = [p.x - centre.x, p.y - centre.y];
  const [x, down] = [s.a * qx - s.b * qy, s.b * qx + s.a * qy];
  const [c, sin] = turnBy(kappa, shift.y);
  const [y, z] = [c * down + sin, c - kappa * sin * down];
  return {
    x: centre.x + shift.x + turnFrom(kappa, x, z),
    y: centre.y + y / Math.sqrt(z * z + kappa * x * x),
  };
}

/** Px of the still frame to picture px; NaN for what lies behind the camera. */
export function toPicture(lens: Lens | undefined, s: Similarity, p: Point): Point {
  const scale2 = s.a * s.a + s.b * s.b;
  if (!lens) {
    const [x, y] = [p.x - s.tx, p.y - s.ty];
    return { x: (s.a * x + s.b * y) / scale2, y: (s.a * y - s.b * x) / scale2 };
  }
  const { centre, kappa } = lens;
  const shift = shiftOf(lens, s);
  const [cosYaw, x] = turnBy(kappa, p.x - centre.x - shift.x);
  const [c, sin] = turnBy(kappa, shift.y);
  const height = p.y - centre.y;
  const [y, z] = [c * height - sin * cosYaw, kappa * sin * height + c * cosYaw];
  if (!(z > 0)) return { x: NaN, y: NaN };
  const [qx, qy] = [x / z, y / z];
  return {
    x: centre.x + (s.a * qx + s.b * qy) / scale2,
    y: centre.y + (s.a * qy - s.b * qx) / scale2,
  };
}

/** Largest angle from the axis of a flat picture: beyond, it would stretch without end. */
const WIDEST = 1.4;

/**
 * A place of the still frame in the flat picture of a camera that looks at its x = axisX: a straight path of constant
 * depth has one scale there. Also by how much the picture is stretched along x.
 */
export function flatPlace(
  lens: Lens | undefined,
  axisX: number,
  p: Point,
): Point & { readonly stretch: number } {
  if (!lens) return { ...p, stretch: 1 };
  const furthest = WIDEST / Math.sqrt(Math.max(lens.kappa, 1e-20));
  const [c, s] = turnBy(lens.kappa, Math.max(-furthest, Math.min(furthest, p.x - axisX)));
  return { x: axisX + s / c, y: lens.centre.y + (p.y - lens.centre.y) / c, stretch: 1 / (c * c) };
}
