import type { GrayPicture } from '../../src/clip/types.ts';
import { applySimilarity, seededRandom } from '../../src/track/similarity.ts';
import type { Similarity } from '../../src/track/types.ts';

const WIDTH = 1400;
const HEIGHT = 800;

/** Drawn ground: random grains of several sizes, the finer the fainter; no real place. */
export function drawGround(seed: number): Float32Array {
  const random = seededRandom(seed);
  const out = new Float32Array(WIDTH * HEIGHT).fill(110);
  for (const [cell, contrast] of [
    [48, 26],
    [17, 22],
    [6, 16],
  ] as const) {
    const columns = Math.ceil(WIDTH / cell) + 2;
    const grid = Array.from(
      { length: columns * (Math.ceil(HEIGHT / cell) + 2) },
      () => contrast * (2 * random() - 1),
    );
    for (let y = 0; y < HEIGHT; y++)
      for (let x = 0; x < WIDTH; x++) {
        const [u, v] = [x / cell, y / cell];
        const [i, j, f, g] = [Math.floor(u), Math.floor(v), u % 1, v % 1];
        const at = (a: number, b: number): number => grid[(j + b) * columns + i + a] ?? 0;
        const top = at(0, 0) * (1 - f) + at(1, 0) * f;
        const low = at(0, 1) * (1 - f) + at(1, 1) * f;
        out[y * WIDTH + x] = (out[y * WIDTH + x] ?? 0) + top * (1 - g) + low * g;
      }
  }
  return out;
}

/** What a camera sees: `toGround` takes its px to px of the drawn ground; with noise of the sensor. */
export function photograph(
  ground: Float32Array,
  toGround: Similarity,
  widthPx: number,
  heightPx: number,
  noiseSd: number,
  random: () => number,
): GrayPicture {
  const data = new Uint8Array(widthPx * heightPx);
  for (let y = 0; y < heightPx; y++)
    for (let x = 0; x < widthPx; x++) {
      const p = applySimilarity(toGround, { x, y });
      const [i, j] = [Math.floor(p.x), Math.floor(p.y)];
      const [f, g] = [p.x - i, p.y - j];
      const at = (a: number, b: number): number => ground[(j + b) * WIDTH + i + a] ?? 0;
      const value = (at(0, 0) * (1 - f) + at(1, 0) * f) * (1 - g) + (at(0, 1) * (1 - f) + at(1, 1) * f) * g;
      const noise = noiseSd * (random() + random() + random() + random() - 2) * Math.sqrt(3);
      data[y * widthPx + x] = Math.max(0, Math.min(255, Math.round(value + noise)));
    }
  return { widthPx, heightPx, data };
}

/** A dark box with a pattern of its own that moves through the picture, as a horse does. */
export function paste(picture: GrayPicture, x0: number, y0: number, x1: number, y1: number): GrayPicture {
  const data = Uint8Array.from(picture.data);
  for (let y = Math.max(0, Math.round(y0)); y < Math.min(picture.heightPx, y1); y++)
    for (let x = Math.max(0, Math.round(x0)); x < Math.min(picture.widthPx, x1); x++) {
      const [u, v] = [Math.floor((x - x0) / 7), Math.floor((y - y0) / 7)];
      data[y * picture.widthPx + x] = (u * 31 + v * 17) % 5 === 0 ? 190 : 40;
    }
  return { ...picture, data };
}
