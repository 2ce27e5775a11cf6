/**
 * Pictures of a horse that are drawn here and by the trainer, in Python, the same to the last bit: in whole numbers
 * only. Backends are compared by them, and the exported network with the trainer's.
 */

type Ellipse = readonly [cx: number, cy: number, rx: number, ry: number];
type Bar = readonly [ax: number, ay: number, bx: number, by: number, halfWidth: number];
type Colour = readonly [number, number, number];

/** As `horse` of models/training/export.py. */
function horse(seed: number): [Ellipse | Bar, Colour][] {
  const s = seed * 3 - 12;
  const coat: Colour = [110, 62, 32];
  const dark: Colour = [35, 28, 24];
  const legs = [
    [112, 112 - s],
    [122, 122 + s],
    [226, 226 + s],
    [216, 216 - s],
  ] as const;
  return [
    [[250, 118, 262, 190, 6], dark],
    ...legs.flatMap(([top, foot]): [Bar, Colour][] => {
      const middle = Math.floor((top + foot) / 2);
      return [
        [[top, 150, middle, 200, 8], coat],
        [[middle, 198, foot, 236, 5], coat],
        [[foot - 7, 236, foot + 5, 236, 5], dark],
      ];
    }),
    [[168, 138, 72, 32], coat],
    [[112, 138, 30, 36], coat],
    [[225, 134, 34, 36], coat],
    [[112, 120, 66, 66, 18], coat],
    [[70, 62, 38, 96, 10], coat],
    [[76, 50, 72, 62, 4], coat],
  ];
}

function inside(shape: Ellipse | Bar, u: number, v: number): boolean {
  if (shape.length === 4) {
    const [cx, cy, rx, ry] = shape;
    return ((u - cx) * ry) ** 2 + ((v - cy) * rx) ** 2 <= (rx * ry) ** 2;
  }
  const [ax, ay, bx, by, halfWidth] = shape;
  const [dx, dy] = [bx - ax, by - ay];
  const long = dx * dx + dy * dy;
  const along = (u - ax) * dx + (v - ay) * dy;
  const across = (u - ax) * dy - (v - ay) * dx;
  return across * across <= halfWidth * halfWidth * long && along >= 0 && along <= long;
}

/** size x size x RGB of -1..1: the same picture as `drawn` of models/training/export.py. */
export function drawn(seed: number, size: number): Float32Array {
  const out = new Float32Array(size * size * 3);
  const shapes = horse(seed);
  for (let i = 0; i < size * size; i++) {
    const u = Math.floor(((i % size) * 320) / size);
    const v = Math.floor((Math.floor(i / size) * 320) / size);
    const grain = (u * 7 + v * 13 + u * v + seed * 5) % 23;
    const ground = v > 236 ? 140 : 200;
    let colour: number[] = [ground + grain, ground + Math.floor(grain / 2), ground - grain];
    for (const [shape, of] of shapes)
      if (inside(shape, u, v)) colour = of.map((c) => c + Math.floor(grain / 2));
    colour.forEach((c, k) => (out[i * 3 + k] = (c / 255) * 2 - 1));
  }
  return out;
}
