/** Skins of rings: every body part of the drawing is a tube of ellipses, rebuilt for each picture. */
import { BufferAttribute, BufferGeometry, Color } from 'three';
import { add, cross, curve, minus, times, unit, type Knots, type Vec } from './curves.ts';

/** An ellipse (or squarer) across a part, with its colour. */
export interface Ring {
  readonly centre: Vec;
  /** Half axes as vectors, m: a x b points back along the part, so that its skin faces outwards. */
  readonly a: Vec;
  readonly b: Vec;
  /** sRGB, 0xrrggbb. */
  readonly colour: number;
  /** 2 = ellipse, more = squarer. */
  readonly power?: number;
  /** Light kept back from what faces the middle line of the horse, and from what faces the ground: shares. */
  readonly shade?: Shade;
}
export interface Shade {
  readonly medial: number;
  readonly under: number;
}

const components = (colour: number): Vec => [(colour >> 16) & 255, (colour >> 8) & 255, colour & 255];
export function mixColour(from: number, to: number, share: number): number {
  const [a, b] = [components(from), components(to)];
  const at = (i: 0 | 1 | 2): number => Math.round(a[i] + (b[i] - a[i]) * share);
  return (at(0) << 16) | (at(1) << 8) | at(2);
}

/** Rings between rings, on monotone curves through them. */
export function dense(rings: readonly Ring[], per: number): Ring[] {
  const knots = (pick: (r: Ring) => number): Knots => rings.map((r, i) => [i, pick(r)] as const);
  const vec = (pick: (r: Ring) => Vec): ((x: number) => Vec) => {
    const [x0, y0, z0] = [0, 1, 2].map((c) => knots((r) => pick(r)[c as 0 | 1 | 2]));
    return (x) => [curve(x0 ?? [], x), curve(y0 ?? [], x), curve(z0 ?? [], x)];
  };
  const [centre, a, b] = [vec((r) => r.centre), vec((r) => r.a), vec((r) => r.b)];
  const power = knots((r) => r.power ?? 2);
  return Array.from({ length: (rings.length - 1) * per + 1 }, (_, i) => {
    const x = i / per;
    const from = rings[Math.min(rings.length - 1, Math.floor(x))];
    const to = rings[Math.min(rings.length - 1, Math.floor(x) + 1)];
    return {
      centre: centre(x),
      a: a(x),
      b: b(x),
      power: curve(power, x),
      ...(from?.shade ? { shade: from.shade } : {}),
      colour: mixColour(from?.colour ?? 0, to?.colour ?? 0, x - Math.floor(x)),
    };
  });
}

const signedPower = (x: number, power: number): number => Math.sign(x) * Math.abs(x) ** power;

function lightOn(ring: Ring, out: Vec): number {
  if (!ring.shade) return 1;
  const way = unit(out);
  const medial = Math.max(0, -way[1] * Math.sign(ring.centre[1]));
  return (1 - ring.shade.medial * medial) * (1 - ring.shade.under * Math.max(0, -way[2]));
}

/**
 * Fills (or makes) a closed skin over the rings; `around` corners each. Texture runs along u and around v. `place` takes
 * the rings' metres to those of the scene.
 */
export function skin(
  rings: readonly Ring[],
  around: number,
  old?: BufferGeometry,
  place: (at: Vec) => Vec = (at) => at,
): BufferGeometry {
  const columns = around + 1;
  const count = rings.length * columns + 2;
  const geometry = old ?? new BufferGeometry();
  if (!old) {
    geometry.setAttribute('position', new BufferAttribute(new Float32Array(count * 3), 3));
    geometry.setAttribute('color', new BufferAttribute(new Float32Array(count * 3), 3));
    geometry.setAttribute('uv', new BufferAttribute(new Float32Array(count * 2), 2));
    geometry.setIndex(triangles(rings.length, columns));
  }
  const position = geometry.getAttribute('position') as BufferAttribute;
  const colour = geometry.getAttribute('color') as BufferAttribute;
  const uv = geometry.getAttribute('uv') as BufferAttribute;
  const shade = new Color();
  let run = 0;
  rings.forEach((ring, r) => {
    const before = rings[r - 1];
    if (before) run += Math.hypot(...minus(ring.centre, before.centre));
    shade.set(ring.colour);
    for (let c = 0; c < columns; c++) {
      const angle = (2 * Math.PI * c) / around;
      const e = 2 / (ring.power ?? 2);
      const [along, across] = [signedPower(Math.cos(angle), e), signedPower(Math.sin(angle), e)];
      const out = add(times(ring.a, along), times(ring.b, across));
      const p = add(ring.centre, out);
      const light = lightOn(ring, out);
      const i = r * columns + c;
      position.setXYZ(i, ...place(p));
      colour.setXYZ(i, shade.r * light, shade.g * light, shade.b * light);
      uv.setXY(i, run * 2.5, (c / around) * 2);
    }
  });
  for (const [i, ring] of [rings[0], rings[rings.length - 1]].entries()) {
    if (!ring) continue;
    position.setXYZ(count - 2 + i, ...place(ring.centre));
    shade.set(ring.colour);
    colour.setXYZ(count - 2 + i, shade.r, shade.g, shade.b);
  }
  position.needsUpdate = true;
  colour.needsUpdate = true;
  geometry.computeVertexNormals();
  closeSeam(geometry, rings.length, columns);
  geometry.computeBoundingSphere();
  return geometry;
}

/** The first and last corner of a ring are one place: they share their normal. */
function closeSeam(geometry: BufferGeometry, rings: number, columns: number): void {
  const normal = geometry.getAttribute('normal') as BufferAttribute;
  for (let r = 0; r < rings; r++) {
    const [i, j] = [r * columns, r * columns + columns - 1];
    const n = unit([
      normal.getX(i) + normal.getX(j),
      normal.getY(i) + normal.getY(j),
      normal.getZ(i) + normal.getZ(j),
    ]);
    normal.setXYZ(i, ...n);
    normal.setXYZ(j, ...n);
  }
  normal.needsUpdate = true;
}

function triangles(rings: number, columns: number): number[] {
  const out: number[] = [];
  for (let r = 0; r + 1 < rings; r++) {
    for (let c = 0; c + 1 < columns; c++) {
      const [i, j] = [r * columns + c, (r + 1) * columns + c];
      out.push(i, j, i + 1, i + 1, j, j + 1);
    }
  }
  const [first, last] = [rings * columns, rings * columns + 1];
  const end = (rings - 1) * columns;
  for (let c = 0; c + 1 < columns; c++) out.push(first, c, c + 1, last, end + c + 1, end + c);
  return out;
}

export interface Bead {
  readonly place: Vec;
  /** Half depth (in the plane of the bend) and half width. */
  readonly depth: number;
  readonly width: number;
  readonly colour: number;
  readonly power?: number;
  readonly shade?: Shade;
}

/** Rings along a bent line: each stands across the line's direction; `side` is the direction of its width. */
export function beads(list: readonly Bead[], side: Vec, per: number): Ring[] {
  const flat: Ring[] = list.map((bead) => ({
    centre: bead.place,
    a: [bead.depth, 0, 0],
    b: [bead.width, 0, 0],
    colour: bead.colour,
    power: bead.power ?? 2,
    ...(bead.shade ? { shade: bead.shade } : {}),
  }));
  const rings = dense(flat, per);
  return rings.map((ring, i) => {
    const before = rings[Math.max(0, i - 1)] ?? ring;
    const after = rings[Math.min(rings.length - 1, i + 1)] ?? ring;
    const along = unit(minus(after.centre, before.centre));
    const a = unit(cross(side, along));
    return { ...ring, a: times(a, ring.a[0]), b: times(unit(cross(a, along)), ring.b[0]) };
  });
}
