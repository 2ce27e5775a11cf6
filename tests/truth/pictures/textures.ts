/** Pictures on the surfaces, made fast: ground grain by grain, the surroundings with a brush, blades, hair. */
import {
  CanvasTexture,
  DataTexture,
  LinearFilter,
  LinearMipmapNearestFilter,
  RepeatWrapping,
  type Texture,
} from 'three';
import { canvas } from '../textures.ts';
import { between, css, happens, hsl, oneOf, type Random } from './chance.ts';
import type { GroundLook, YardLook } from './looks.ts';

const SIZE = 256;

function dataTexture(data: Uint8Array, width: number, height: number): DataTexture {
  const map = new DataTexture(data, width, height);
  map.wrapS = map.wrapT = RepeatWrapping;
  map.magFilter = LinearFilter;
  map.minFilter = LinearMipmapNearestFilter;
  map.generateMipmaps = true;
  map.needsUpdate = true;
  return map;
}

/** From a canvas: seen from near, so that it needs no smaller copies. */
function painted(element: HTMLCanvasElement): CanvasTexture {
  const map = new CanvasTexture(element);
  map.wrapS = RepeatWrapping;
  map.minFilter = LinearFilter;
  map.generateMipmaps = false;
  return map;
}

/** Noise that repeats at the edges: `cells` blobs across, SD about .2. */
function blobs(random: Random, cells: number): Float32Array {
  const knots = Float32Array.from({ length: cells * cells }, () => random.uniform() - 0.5);
  const out = new Float32Array(SIZE * SIZE);
  const step = cells / SIZE;
  for (let y = 0; y < SIZE; y++) {
    const [fy, j] = [y * step - Math.floor(y * step), Math.floor(y * step)];
    const [row, next] = [j * cells, ((j + 1) % cells) * cells];
    for (let x = 0; x < SIZE; x++) {
      const i = Math.floor(x * step);
      const fx = x * step - i;
      const k = (i + 1) % cells;
      const top = (knots[row + i] ?? 0) * (1 - fx) + (knots[row + k] ?? 0) * fx;
      const low = (knots[next + i] ?? 0) * (1 - fx) + (knots[next + k] ?? 0) * fx;
      out[y * SIZE + x] = top * (1 - fy) + low * fy;
    }
  }
  return out;
}

export function groundTexture(look: GroundLook, random: Random): Texture {
  const [fine, coarse] = [blobs(random, 128), blobs(random, 6)];
  const middling = blobs(random, oneOf(random, [16, 28, 48]));
  const [r, g, b] = [(look.colour >> 16) & 255, (look.colour >> 8) & 255, look.colour & 255];
  const stretch = look.kind === 'blades' ? 4 : 1;
  const slab = look.kind === 'slabs' ? oneOf(random, [16, 32, 64]) : 0;
  const data = new Uint8Array(SIZE * SIZE * 4);
  for (let i = 0; i < SIZE * SIZE; i++) {
    const [x, y] = [i % SIZE, Math.floor(i / SIZE)];
    const grain = fine[Math.floor(y / stretch) * SIZE + x] ?? 0;
    const joint = slab > 0 && (x % slab < 2 || (y + (Math.floor(x / slab) % 2) * (slab / 2)) % slab < 2);
    const light =
      (1 + look.grain * (2.2 * grain + 1.2 * (middling[i] ?? 0)) + look.stains * (coarse[i] ?? 0)) *
      (joint ? 0.72 : 1);
    data[i * 4] = Math.min(255, r * light);
    data[i * 4 + 1] = Math.min(255, g * light);
    data[i * 4 + 2] = Math.min(255, b * light);
    data[i * 4 + 3] = 255;
  }
  return dataTexture(data, SIZE, SIZE);
}

/** Light and dark streaks along the hair. */
export function hairTexture(random: Random): Texture {
  const [width, height] = [256, 256];
  const data = new Uint8Array(width * height * 4);
  const strength = between(random, 4, 22);
  for (let y = 0; y < height; y++) {
    let run = 0;
    for (let x = 0; x < width; x++) {
      run = 0.85 * run + 0.5 * (random.uniform() - 0.5);
      const light = Math.min(255, Math.max(0, 226 + 2 * strength * run));
      data.fill(light, (y * width + x) * 4, (y * width + x) * 4 + 3);
      data[(y * width + x) * 4 + 3] = 255;
    }
  }
  return dataTexture(data, width, height);
}

/** A row of blades that stand up, see-through between them. */
export function bladeTexture(colour: number, thin: boolean, random: Random): Texture {
  const [element, c] = canvas(512, 64);
  for (let i = 0; i < (thin ? 420 : 1500); i++) {
    const x = random.uniform() * 512;
    const light = between(random, 0.6, 1.4);
    const tone = [16, 8, 0].map((s) => Math.min(255, ((colour >> s) & 255) * light));
    c.strokeStyle = `rgb(${tone.join(',')})`;
    c.lineWidth = thin ? between(random, 0.8, 2) : between(random, 4, 12);
    c.beginPath();
    c.moveTo(x, 64);
    c.lineTo(
      x + (thin ? 10 : 2) * random.normal(),
      64 - 64 * between(random, thin ? 0.3 : 0.1, 1) * (thin ? 1 : 0.8),
    );
    c.stroke();
  }
  return painted(element);
}

type Brush = CanvasRenderingContext2D;
export const WIDE = 2048;
export const HIGH = 512;
/** The horizon's place from the top. */
export const HORIZON = 0.78;

function foliage(c: Brush, x: number, foot: number, size: number, random: Random): void {
  const hue = between(random, 60, 150);
  const [saturation, light] = [between(random, 0.05, 0.45), between(random, 0.1, 0.4)];
  c.fillStyle = css(hsl(30, 0.2, 0.6 * light));
  c.fillRect(x - size * 0.03, foot - size * 0.6, size * 0.06, size * 0.6);
  for (let i = 0; i < 34; i++) {
    const [dx, dy] = [0.28 * random.normal(), 0.22 * random.normal()];
    c.fillStyle = css(
      hsl(hue, saturation, Math.max(0.04, light * (1 - 0.9 * dy + 0.3 * random.normal()))),
      0.85,
    );
    c.beginPath();
    c.ellipse(x + dx * size, foot - size * (0.6 - dy), size * 0.12, size * 0.09, random.uniform() * 3, 0, 7);
    c.fill();
  }
}

function building(c: Brush, x: number, foot: number, random: Random): void {
  const [wide, high] = [between(random, 60, 360), between(random, 25, 150)];
  const wall = hsl(between(random, 0, 360), between(random, 0, 0.4), between(random, 0.15, 0.92));
  c.fillStyle = css(wall);
  c.fillRect(x, foot - high, wide, high);
  c.fillStyle = css(hsl(between(random, 0, 40), between(random, 0, 0.5), between(random, 0.1, 0.5)));
  c.fillRect(x - 5, foot - high - between(random, 4, 25), wide + 10, between(random, 4, 25));
  const [step, share] = [between(random, 14, 60), between(random, 0.2, 0.7)];
  c.fillStyle = css(hsl(210, 0.2, between(random, 0.05, 0.8)));
  for (let w = x + step / 3; w < x + wide - step; w += step)
    c.fillRect(w, foot - high * between(random, 0.6, 0.64), step * share, high * share * 0.6);
}

function hills(c: Brush, horizon: number, random: Random): void {
  c.fillStyle = css(hsl(between(random, 60, 220), between(random, 0.02, 0.3), between(random, 0.25, 0.7)));
  const [high, a, b] = [between(random, 5, 60), between(random, 90, 300), between(random, 30, 90)];
  c.beginPath();
  c.moveTo(0, horizon + 6);
  for (let x = 0; x <= WIDE; x += 8)
    c.lineTo(x, horizon - high * (1 + 0.5 * Math.sin(x / a) + 0.25 * Math.sin(x / b + 1)));
  c.lineTo(WIDE, horizon + 6);
  c.fill();
}

/** Walls of a hall: boards, panels, a bright band of windows. */
function walls(c: Brush, horizon: number, random: Random): void {
  const tone = (low: number, high: number): string =>
    css(hsl(between(random, 10, 230), between(random, 0, 0.4), between(random, low, high)));
  c.fillStyle = tone(0.1, 0.85);
  c.fillRect(0, 0, WIDE, HIGH);
  const foot = horizon + between(random, 0, 6);
  const board = between(random, 15, 70);
  c.fillStyle = tone(0.1, 0.8);
  c.fillRect(0, foot - board, WIDE, board);
  c.fillStyle = tone(0.6, 1);
  if (happens(random, 0.6))
    c.fillRect(0, foot - board - between(random, 30, 160), WIDE, between(random, 8, 40));
  c.fillStyle = tone(0.05, 0.9);
  const step = between(random, 25, 160);
  for (let x = 0; x < WIDE; x += step) c.fillRect(x, 0, between(random, 2, 8), foot);
}

function outside(c: Brush, look: YardLook, horizon: number, random: Random): void {
  const sky = c.createLinearGradient(0, 0, 0, horizon);
  sky.addColorStop(0, css(look.sky));
  sky.addColorStop(1, css(look.haze));
  c.fillStyle = sky;
  c.fillRect(0, 0, WIDE, HIGH);
  const clouds = happens(random, 0.6) ? 40 : 0;
  for (let i = 0; i < clouds; i++) {
    c.fillStyle = css(hsl(210, 0.1, between(random, 0.6, 1)), between(random, 0.05, 0.4));
    c.beginPath();
    c.ellipse(
      random.uniform() * WIDE,
      random.uniform() * horizon,
      between(random, 20, 160),
      between(random, 4, 24),
      0,
      0,
      7,
    );
    c.fill();
  }
  if (happens(random, 0.6)) hills(c, horizon, random);
  const count = {
    trees: [45, 0],
    buildings: [6, 9],
    hills: [4, 1],
    hedge: [0, 0],
    mixed: [18, 5],
    inside: [0, 0],
  }[look.beyond];
  if (look.beyond === 'hedge' || happens(random, 0.25))
    for (let x = 0; x < WIDE; x += 14) foliage(c, x, horizon + 4, between(random, 26, 34), random);
  for (let i = 0; i < (count[1] ?? 0); i++) building(c, random.uniform() * WIDE, horizon + 3, random);
  const size = between(random, 30, 130);
  for (let i = 0; i < (count[0] ?? 0); i++)
    foliage(c, random.uniform() * WIDE, horizon + 4, size * between(random, 0.6, 1.4), random);
}

/** Posts, people, cars, signs far off: blocks of any colour. */
function clutter(c: Brush, horizon: number, random: Random): void {
  const count = Math.floor(between(random, 0, 40) * random.uniform());
  for (let i = 0; i < count; i++) {
    c.fillStyle = css(hsl(between(random, 0, 360), random.uniform() ** 2, between(random, 0.05, 0.95)));
    const [wide, high] = [between(random, 3, 40), between(random, 4, 30)];
    c.fillRect(random.uniform() * WIDE, horizon + 3 - high, happens(random, 0.5) ? wide : wide / 6, high);
  }
}

export function surroundingsTexture(look: YardLook, random: Random): Texture {
  const [element, c] = canvas(WIDE, HIGH);
  const horizon = HORIZON * HIGH;
  if (look.beyond === 'inside') walls(c, horizon, random);
  else outside(c, look, horizon, random);
  clutter(c, horizon, random);
  return painted(element);
}
