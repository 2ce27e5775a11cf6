/** Seeded choices for the drawn pictures. */
import { numbers } from '../../support/kinematicLaws.ts';

export type Random = ReturnType<typeof numbers>;

/** The first numbers of seeds that are neighbours are alike: they are passed over. */
export function chances(seed: number): Random {
  const random = numbers(seed);
  for (let k = 0; k < 8; k++) random.uniform();
  return random;
}

export const between = (random: Random, low: number, high: number): number =>
  low + (high - low) * random.uniform();
export const happens = (random: Random, share: number): boolean => random.uniform() < share;
export function oneOf<T>(random: Random, list: readonly T[]): T {
  const picked = list[Math.floor(random.uniform() * list.length)];
  if (picked === undefined) throw new Error('nothing to choose from');
  return picked;
}

/** One of the names, as often as its weight has it. */
export function weighted<T extends string>(random: Random, weights: Readonly<Record<T, number>>): T {
  const list = Object.entries(weights) as [T, number][];
  let left = random.uniform() * list.reduce((sum, [, w]) => sum + w, 0);
  for (const [name, w] of list) {
    left -= w;
    if (left < 0) return name;
  }
  return (list[list.length - 1] as [T, number])[0];
}

/** 0xrrggbb (sRGB) of hue in degrees, saturation and lightness from 0 to 1 (CSS Color 4, section 7). */
export function hsl(hue: number, saturation: number, light: number): number {
  const channel = (n: number): number => {
    const k = (n + (((hue % 360) + 360) % 360) / 30) % 12;
    const a = saturation * Math.min(light, 1 - light);
    return Math.round(255 * (light - a * Math.max(-1, Math.min(k - 3, 9 - k, 1))));
  };
  return (channel(0) << 16) | (channel(8) << 8) | channel(4);
}
export const css = (colour: number, alpha = 1): string =>
  `rgba(${(colour >> 16) & 255},${(colour >> 8) & 255},${colour & 255},${alpha})`;

/** Smooth seeded noise in space, 0 to 1 and .5 on average, one blob a unit. */
export function noiseIn(seed: number): (x: number, y: number, z: number) => number {
  const corner = (x: number, y: number, z: number): number => {
    let h = Math.imul(x, 0x27d4eb2d) ^ Math.imul(y, 0x165667b1) ^ Math.imul(z, 0x1b873593) ^ seed;
    h = Math.imul(h ^ (h >>> 15), 0x85ebca6b);
    h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
    return ((h ^ (h >>> 16)) >>> 0) / 2 ** 32;
  };
  const ease = (s: number): number => s * s * (3 - 2 * s);
  return (x, y, z) => {
    const [i, j, k] = [Math.floor(x), Math.floor(y), Math.floor(z)];
    const [u, v, w] = [ease(x - i), ease(y - j), ease(z - k)];
    let sum = 0;
    for (let c = 0; c < 8; c++) {
      const [a, b, d] = [c & 1, (c >> 1) & 1, c >> 2];
      sum += (a ? u : 1 - u) * (b ? v : 1 - v) * (d ? w : 1 - w) * corner(i + a, j + b, k + d);
    }
    return sum;
  };
}
