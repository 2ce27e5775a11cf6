/** From what the renderer drew to a JPEG: exposure, noise, blur, enlargement, the picture's border. */
import { canvas } from '../textures.ts';
import { chances } from './chance.ts';
import type { Film, Framing } from './plans.ts';

/** Part of the square that the picture shows, px edges: x0, y0, x1, y1. */
export type Inside = readonly [number, number, number, number];

const GRAINS = 1 << 16;

export class FilmRoll {
  readonly #size: number;
  readonly #small: CanvasRenderingContext2D;
  readonly #large: CanvasRenderingContext2D;
  readonly #grains: Float32Array;
  readonly #sum: Float32Array;
  #looks = 0;

  constructor(size: number) {
    this.#size = size;
    this.#small = canvas(size, size)[1];
    this.#large = canvas(size, size)[1];
    this.#sum = new Float32Array(size * size * 3);
    const random = chances(1);
    this.#grains = Float32Array.from({ length: GRAINS }, () => random.normal());
  }

  /** Adds one look of the exposure: RGBA rows from below, `side` px. */
  expose(pixels: Uint8Array, side: number): void {
    const sum = this.#sum;
    if (this.#looks++ === 0) sum.fill(0);
    for (let y = 0; y < side; y++) {
      let from = (side - 1 - y) * side * 4;
      for (let i = y * side * 3; i < (y + 1) * side * 3; i += 3, from += 4) {
        sum[i] = (sum[i] ?? 0) + (pixels[from] ?? 0);
        sum[i + 1] = (sum[i + 1] ?? 0) + (pixels[from + 1] ?? 0);
        sum[i + 2] = (sum[i + 2] ?? 0) + (pixels[from + 2] ?? 0);
      }
    }
  }

  /** Grey level for each brightness summed, of one colour. */
  #tones({ gain, gamma }: Film, colour: number): Float32Array {
    const most = 255 * this.#looks;
    return Float32Array.from({ length: most + 1 }, (_, i) => 255 * (i / most) ** gamma * gain * colour);
  }

  #developed(film: Film, side: number, seed: number): ImageData {
    const image = new ImageData(side, side);
    const { data } = image;
    const { warmth, tint, noise } = film;
    const tones = [1 + warmth, 1 - tint, 1 - warmth].map((colour) => this.#tones(film, colour));
    const [red, green, blue] = tones as [Float32Array, Float32Array, Float32Array];
    const [sum, grains] = [this.#sum, this.#grains];
    let g = seed & (GRAINS - 1);
    for (let i = 0, k = 0; k < data.length; i += 3, k += 4) {
      // A stride that shares no factor with the table's length.
      g = (g + 7) & (GRAINS - 1);
      const all = noise * 0.8 * (grains[g] ?? 0);
      const own = noise * 0.6;
      data[k] = (red[sum[i] ?? 0] ?? 0) + all + own * (grains[(g * 3 + 1) & (GRAINS - 1)] ?? 0);
      data[k + 1] =
        (green[sum[i + 1] ?? 0] ?? 0) + all + 0.5 * own * (grains[(g * 5 + 2) & (GRAINS - 1)] ?? 0);
      data[k + 2] = (blue[sum[i + 2] ?? 0] ?? 0) + all + own * (grains[(g * 9 + 3) & (GRAINS - 1)] ?? 0);
      data[k + 3] = 255;
    }
    this.#looks = 0;
    return image;
  }

  /** JPEG, base64. */
  develop(film: Film, side: number, seed: number, inside: Inside): string {
    const size = this.#size;
    this.#small.putImageData(this.#developed(film, side, seed), 0, 0);
    const c = this.#large;
    c.imageSmoothingQuality = 'high';
    c.drawImage(this.#small.canvas, 0, 0, side, side, 0, 0, size, size);
    if (film.blurPx > 0) {
      // Over the sharp one: a blur fades at the edges.
      c.filter = `blur(${film.blurPx}px)`;
      c.drawImage(this.#small.canvas, 0, 0, side, side, 0, 0, size, size);
      c.filter = 'none';
    }
    repeatBorder(c, inside, size);
    return c.canvas.toDataURL('image/jpeg', film.quality).replace(/^[^,]*,/, '');
  }
}

/** What lies outside the picture repeats its border, as in crop.ts. */
function repeatBorder(c: CanvasRenderingContext2D, [x0, y0, x1, y1]: Inside, size: number): void {
  const smooth = c.imageSmoothingEnabled;
  c.imageSmoothingEnabled = false;
  if (x0 > 0) c.drawImage(c.canvas, x0, 0, 1, size, 0, 0, x0, size);
  if (x1 < size) c.drawImage(c.canvas, x1 - 1, 0, 1, size, x1, 0, size - x1, size);
  if (y0 > 0) c.drawImage(c.canvas, 0, y0, size, 1, 0, 0, size, y0);
  if (y1 < size) c.drawImage(c.canvas, 0, y1 - 1, size, 1, 0, y1, size, size - y1);
  c.imageSmoothingEnabled = smooth;
}

/** `box`: of the horse, px of the square drawn. Whole px. */
export function insideOf({ border }: Framing, box: readonly number[], size: number): Inside {
  if (!border) return [0, 0, size, size];
  const [x0, y0, x1, y1] = box as [number, number, number, number];
  const at = (low: number, high: number, share: number): number =>
    Math.round(Math.min(0.9 * size, Math.max(0.1 * size, low + (high - low) * share)));
  const { side, share } = border;
  if (side === 'left') return [at(x0, x1, share), 0, size, size];
  if (side === 'right') return [0, 0, at(x1, x0, share), size];
  if (side === 'top') return [0, at(y0, y1, share), size, size];
  return [0, 0, size, at(y1, y0, share)];
}
