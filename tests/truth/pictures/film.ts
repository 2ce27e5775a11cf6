/** From what the renderer drew to a JPEG: exposure, noise, blur, enlargement, the picture's border. */
import { canvas } from '../textures.ts';
import { chances } from './chance.ts';
import type { Film, Framing } from './plans.ts';

/** Part of the square that the picture shows, px edges: x0, y0, x1, y1. */
export type Inside = readonly [number, number, number, number];

const GRAINS = 1 << 16;

/** Drawn so much larger than the detail that stays: the edges get smooth as they are made smaller. */
const FINER = 1.2;
export const finest = (size: number): number => Math.round(FINER * size);
/** Side of what the renderer draws for a film, px. */
export const drawnPx = (size: number, { resolution }: Film): number =>
  Math.round(size * Math.min(FINER, 2 * resolution));

export class FilmRoll {
  readonly #size: number;
  readonly #drawn: CanvasRenderingContext2D;
  readonly #second: CanvasRenderingContext2D;
  readonly #small: CanvasRenderingContext2D;
  readonly #large: CanvasRenderingContext2D;
  readonly #grains: Float32Array;

  constructor(size: number) {
    this.#size = size;
    this.#drawn = canvas(finest(size), finest(size))[1];
    this.#second = canvas(finest(size), finest(size))[1];
    this.#small = canvas(size, size)[1];
    this.#large = canvas(size, size)[1];
    for (const c of [this.#drawn, this.#second, this.#small, this.#large]) c.imageSmoothingQuality = 'high';
    const random = chances(1);
    this.#grains = Float32Array.from({ length: GRAINS }, () => random.normal());
  }

  /** Lays one look of the exposure over those before: RGBA rows from below, `side` px; it stays upside down. `look`: 0 for the first. */
  expose(pixels: Uint8ClampedArray<ArrayBuffer>, side: number, look: number): void {
    const image = new ImageData(pixels.subarray(0, side * side * 4), side, side);
    const c = look === 0 ? this.#drawn : this.#second;
    c.putImageData(image, 0, 0);
    if (look === 0) return;
    this.#drawn.globalAlpha = 1 / (look + 1);
    this.#drawn.drawImage(c.canvas, 0, 0);
    this.#drawn.globalAlpha = 1;
  }

  /** Brightness, colour and grain of what has been made small, in place. */
  #developed({ data }: ImageData, film: Film, seed: number): void {
    const { gain, gamma, warmth, tint, noise } = film;
    const tones = [1 + warmth, 1 - tint, 1 - warmth].map((colour) =>
      Float32Array.from({ length: 256 }, (_, i) => 255 * (i / 255) ** gamma * gain * colour),
    );
    const [red, green, blue] = tones as [Float32Array, Float32Array, Float32Array];
    const grains = this.#grains;
    let g = seed & (GRAINS - 1);
    for (let k = 0; k < data.length; k += 4) {
      // A stride that shares no factor with the table's length.
      g = (g + 7) & (GRAINS - 1);
      const all = noise * 0.8 * (grains[g] ?? 0);
      const own = noise * 0.6;
      const grain = (step: number): number => own * (grains[(g * step) & (GRAINS - 1)] ?? 0);
      data[k] = (red[data[k] ?? 0] ?? 0) + all + grain(3);
      data[k + 1] = (green[data[k + 1] ?? 0] ?? 0) + all + 0.5 * grain(5);
      data[k + 2] = (blue[data[k + 2] ?? 0] ?? 0) + all + grain(9);
    }
  }

  /** JPEG, base64. `side`: of what was exposed. */
  develop(film: Film, side: number, seed: number, inside: Inside): string {
    const size = this.#size;
    const detail = Math.round(size * film.resolution);
    const small = this.#small;
    small.setTransform(1, 0, 0, -1, 0, detail);
    small.drawImage(this.#drawn.canvas, 0, 0, side, side, 0, 0, detail, detail);
    small.resetTransform();
    const image = small.getImageData(0, 0, detail, detail);
    this.#developed(image, film, seed);
    small.putImageData(image, 0, 0);
    const c = this.#large;
    c.drawImage(small.canvas, 0, 0, detail, detail, 0, 0, size, size);
    if (film.blurPx > 0) {
      // Over the sharp one: a blur fades at the edges.
      c.filter = `blur(${film.blurPx}px)`;
      c.drawImage(small.canvas, 0, 0, detail, detail, 0, 0, size, size);
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
