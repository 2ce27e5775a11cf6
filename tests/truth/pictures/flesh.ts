/**
 * The skins of one picture in one piece: horse and people as one list of corners, filled fast. Yard metres, which are
 * here the path's own.
 */
import type { Vec } from '../curves.ts';
import type { Ring } from '../loft.ts';
import type { Warp } from './shape.ts';

export interface Piece {
  readonly name: string;
  readonly rings: readonly Ring[];
  readonly around: number;
  readonly warp: Warp;
  /** Colour of a corner (sRGB, 0xrrggbb) in place of the ring's. */
  readonly paint?: (x: number, y: number, z: number, ring: Ring) => number;
}

export interface Range {
  readonly name: string;
  /** Corners and triangle corners: from, and behind the last. */
  readonly corners: readonly [number, number];
  readonly index: readonly [number, number];
}

const MOST = 40_000;
/** To linear light, with a gamma of 2: near that of sRGB, and fast to undo. */
const LINEAR = Float32Array.from({ length: 256 }, (_, i) => (i / 255) ** 2);
const circles = new Map<number, readonly (readonly [number, number])[]>();
function circle(around: number): readonly (readonly [number, number])[] {
  const made =
    circles.get(around) ??
    Array.from({ length: around }, (_, c) => {
      const angle = (2 * Math.PI * c) / around;
      return [Math.cos(angle), Math.sin(angle)] as const;
    });
  circles.set(around, made);
  return made;
}
const signed = (x: number, power: number): number => (x < 0 ? -((-x) ** power) : x ** power);

export class Flesh {
  readonly position = new Float32Array(MOST * 3);
  readonly normal = new Float32Array(MOST * 3);
  readonly colour = new Float32Array(MOST * 3);
  readonly uv = new Float32Array(MOST * 2);
  readonly index = new Uint32Array(MOST * 6);
  ranges: Range[] = [];
  corners = 0;
  indices = 0;

  fill(pieces: readonly Piece[]): void {
    this.corners = this.indices = 0;
    this.ranges = [];
    for (const piece of pieces) this.#add(piece);
  }

  #add({ name, rings, around, warp, paint }: Piece): void {
    const [corner, index] = [this.corners, this.indices];
    if (corner + rings.length * around + 2 > MOST) throw new RangeError('too many corners');
    let run = 0;
    rings.forEach((ring, r) => {
      const before = rings[r - 1]?.centre;
      if (before)
        run += Math.hypot(ring.centre[0] - before[0], ring.centre[1] - before[1], ring.centre[2] - before[2]);
      this.#ring(ring, around, warp, paint, run);
    });
    const [first, last] = [rings[0], rings[rings.length - 1]];
    if (first && last) {
      this.#corner(first.centre, first, warp, paint, 0);
      this.#corner(last.centre, last, warp, paint, run);
    }
    this.#triangles(corner, rings.length, around);
    this.#normals(corner, rings.length, around);
    this.ranges.push({ name, corners: [corner, this.corners], index: [index, this.indices] });
  }

  #ring(ring: Ring, around: number, warp: Warp, paint: Piece['paint'], run: number): void {
    const { centre, a, b } = ring;
    const e = 2 / (ring.power ?? 2);
    circle(around).forEach(([cos, sin], c) => {
      const [along, across] = e === 1 ? [cos, sin] : [signed(cos, e), signed(sin, e)];
      const [dx, dy, dz] = [
        a[0] * along + b[0] * across,
        a[1] * along + b[1] * across,
        a[2] * along + b[2] * across,
      ];
      this.uv[this.corners * 2] = run * 2.5;
      this.uv[this.corners * 2 + 1] = (2 * c) / around;
      this.#put(centre[0] + dx, centre[1] + dy, centre[2] + dz, ring, warp, paint, light(ring, dx, dy, dz));
    });
  }

  #corner([x, y, z]: Vec, ring: Ring, warp: Warp, paint: Piece['paint'], run: number): void {
    this.uv[this.corners * 2] = run * 2.5;
    this.uv[this.corners * 2 + 1] = 0;
    this.#put(x, y, z, ring, warp, paint, 1);
  }

  #put(x: number, y: number, z: number, ring: Ring, warp: Warp, paint: Piece['paint'], lit: number): void {
    const i = this.corners++ * 3;
    const to = warp(x, y, z);
    this.position[i] = to[0];
    this.position[i + 1] = to[1];
    this.position[i + 2] = to[2];
    const colour = paint ? paint(x, y, z, ring) : ring.colour;
    this.colour[i] = (LINEAR[(colour >> 16) & 255] ?? 0) * lit;
    this.colour[i + 1] = (LINEAR[(colour >> 8) & 255] ?? 0) * lit;
    this.colour[i + 2] = (LINEAR[colour & 255] ?? 0) * lit;
  }

  #triangles(corner: number, rings: number, around: number): void {
    const out = this.index;
    let n = this.indices;
    for (let r = 0; r + 1 < rings; r++) {
      for (let c = 0; c < around; c++) {
        const next = (c + 1) % around;
        const [i, j] = [corner + r * around, corner + (r + 1) * around];
        out[n++] = i + c;
        out[n++] = j + c;
        out[n++] = i + next;
        out[n++] = i + next;
        out[n++] = j + c;
        out[n++] = j + next;
      }
    }
    const [first, last, end] = [
      corner + rings * around,
      corner + rings * around + 1,
      corner + (rings - 1) * around,
    ];
    for (let c = 0; c < around; c++) {
      const next = (c + 1) % around;
      out[n++] = first;
      out[n++] = corner + c;
      out[n++] = corner + next;
      out[n++] = last;
      out[n++] = end + next;
      out[n++] = end + c;
    }
    this.indices = n;
  }

  /** Across the neighbours on the ring and along it. */
  #normals(corner: number, rings: number, around: number): void {
    const p = this.position;
    for (let r = 0; r < rings; r++) {
      const [before, after] = [Math.max(0, r - 1), Math.min(rings - 1, r + 1)];
      for (let c = 0; c < around; c++) {
        const back = 3 * (corner + before * around + c);
        const on = 3 * (corner + after * around + c);
        const one = 3 * (corner + r * around + ((c + around - 1) % around));
        const two = 3 * (corner + r * around + ((c + 1) % around));
        this.#cross(3 * (corner + r * around + c), back, on, one, two, p);
      }
    }
    for (const [k, r] of [
      [0, 0],
      [1, rings - 1],
    ] as const)
      this.normal.copyWithin(
        3 * (corner + rings * around + k),
        3 * (corner + r * around),
        3 * (corner + r * around) + 3,
      );
  }

  #cross(i: number, back: number, on: number, one: number, two: number, p: Float32Array): void {
    const at = (k: number): number => p[k] ?? 0;
    const [ax, ay, az] = [at(on) - at(back), at(on + 1) - at(back + 1), at(on + 2) - at(back + 2)];
    const [bx, by, bz] = [at(two) - at(one), at(two + 1) - at(one + 1), at(two + 2) - at(one + 2)];
    const [x, y, z] = [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx];
    const size = Math.hypot(x, y, z) || 1;
    this.normal[i] = x / size;
    this.normal[i + 1] = y / size;
    this.normal[i + 2] = z / size;
  }
}

/** As loft.ts has it: little light between the legs and under the belly. */
function light(ring: Ring, dx: number, dy: number, dz: number): number {
  if (!ring.shade) return 1;
  const size = Math.hypot(dx, dy, dz) || 1;
  const medial = Math.max(0, (-dy * Math.sign(ring.centre[1])) / size);
  return (1 - ring.shade.medial * medial) * (1 - ring.shade.under * Math.max(0, -dz / size));
}
