/** Which points of a picture lie behind something drawn: every triangle of the skins is held against them. */
import { POINT_NAMES, type PointName } from '../../../src/points.ts';
import { ownParts } from '../bodyParts.ts';
import type { Camera } from '../camera.ts';
import type { Vec } from '../curves.ts';
import type { Flesh, Range } from './flesh.ts';

/** A point hides under what is nearer to the camera by more than this: anything, or the part that it lies in; m and withers heights. */
const NEARER_M = 0.02;
const OWN_NEARER_H = 0.07;

/** Corners on the plane one metre ahead of the camera, and how far ahead they are: x, y, depth by threes. */
export function ahead(flesh: Flesh, { place, right, down, forward }: Camera): Float32Array {
  const out = new Float32Array(flesh.corners * 3);
  for (let i = 0; i < flesh.corners * 3; i += 3) {
    const x = (flesh.position[i] ?? 0) - place[0];
    const y = (flesh.position[i + 1] ?? 0) - place[1];
    const z = (flesh.position[i + 2] ?? 0) - place[2];
    const depth = x * forward[0] + y * forward[1] + z * forward[2];
    out[i] = (x * right[0] + y * right[1] + z * right[2]) / depth;
    out[i + 1] = (x * down[0] + y * down[1] + z * down[2]) / depth;
    out[i + 2] = depth;
  }
  return out;
}

/** Bounds of a range of corners: x0, y0, x1, y1. */
export function boundsOf(
  at: Float32Array,
  [from, to]: readonly [number, number],
): [number, number, number, number] {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = from * 3; i < to * 3; i += 3) {
    const [x, y] = [at[i] ?? 0, at[i + 1] ?? 0];
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  return [x0, y0, x1, y1];
}

/** Depth of the nearest triangle of a range over a place of the picture; infinite where none is. */
function nearest(flesh: Flesh, at: Float32Array, { index }: Range, x: number, y: number): number {
  let best = Infinity;
  for (let i = index[0]; i < index[1]; i += 3) {
    const [a, b, c] = [
      3 * (flesh.index[i] ?? 0),
      3 * (flesh.index[i + 1] ?? 0),
      3 * (flesh.index[i + 2] ?? 0),
    ];
    const [ax, ay] = [(at[a] ?? 0) - x, (at[a + 1] ?? 0) - y];
    const [bx, by] = [(at[b] ?? 0) - x, (at[b + 1] ?? 0) - y];
    const [cx, cy] = [(at[c] ?? 0) - x, (at[c + 1] ?? 0) - y];
    const [u, v, w] = [bx * cy - by * cx, cx * ay - cy * ax, ax * by - ay * bx];
    if ((u < 0 || v < 0 || w < 0) && (u > 0 || v > 0 || w > 0)) continue;
    const sum = u + v + w;
    if (sum === 0) continue;
    // One over the depth is linear across a triangle (exact maths of a pinhole).
    const depth = sum / (u / (at[a + 2] ?? 1) + v / (at[b + 2] ?? 1) + w / (at[c + 2] ?? 1));
    if (depth > 0 && depth < best) best = depth;
  }
  return best;
}

/** On the middle line of the horse: from aside they lie on its outline, and their own parts don't hide them. */
const OUTLINE: ReadonlySet<PointName> = new Set(['muzzle', 'poll', 'withers', 'croup', 'tailhead']);

/** Hidden points. `coverM`: how high grass or loose ground stands. `fromAside`: left or right is seen. */
export function hiddenPoints(
  flesh: Flesh,
  camera: Camera,
  points: Readonly<Record<PointName, Vec>>,
  h: number,
  coverM: number,
  fromAside: boolean,
): Record<PointName, boolean> {
  const at = ahead(flesh, camera);
  const boxes = flesh.ranges.map((range) => boundsOf(at, range.corners));
  const behind = (name: PointName): boolean => {
    const own = ownParts(name);
    const [x, y, depth] = seenAhead(camera, points[name]);
    return flesh.ranges.some((range, i) => {
      const [x0, y0, x1, y1] = boxes[i] ?? [0, 0, 0, 0];
      if (x < x0 || x > x1 || y < y0 || y > y1) return false;
      if (fromAside && OUTLINE.has(name) && own.has(range.name)) return false;
      const slack = own.has(range.name) ? OWN_NEARER_H * h : NEARER_M;
      return nearest(flesh, at, range, x, y) < depth - slack;
    });
  };
  return Object.fromEntries(
    POINT_NAMES.map((name) => [name, points[name][2] < 0.6 * coverM || behind(name)]),
  ) as Record<PointName, boolean>;
}

export function seenAhead({ place, right, down, forward }: Camera, to: Vec): Vec {
  const [x, y, z] = [to[0] - place[0], to[1] - place[1], to[2] - place[2]];
  const depth = x * forward[0] + y * forward[1] + z * forward[2];
  return [
    (x * right[0] + y * right[1] + z * right[2]) / depth,
    (x * down[0] + y * down[1] + z * down[2]) / depth,
    depth,
  ];
}
