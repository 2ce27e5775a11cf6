/** Pictures that the drawing's surfaces carry: ground, walls of trees and sky, hair. Made from a seed. */
import { CanvasTexture, RepeatWrapping, SRGBColorSpace } from 'three';
import { numbers } from '../support/kinematicLaws.ts';
import { smoothStep } from './curves.ts';
import type { ScenePlan } from './plans.ts';

type Random = ReturnType<typeof numbers>;
type Context = CanvasRenderingContext2D;

export function canvas(widthPx: number, heightPx: number): [HTMLCanvasElement, Context] {
  const element = document.createElement('canvas');
  element.width = widthPx;
  element.height = heightPx;
  // Kept off the graphics process: thousands of dabs are slow there without a GPU.
  const context = element.getContext('2d', { willReadFrequently: true });
  if (!context) throw new Error('This browser has no 2d canvas');
  return [element, context];
}

const hsl = (hue: number, saturation: number, light: number, alpha = 1): string =>
  `hsla(${hue.toFixed(1)},${saturation.toFixed(1)}%,${light.toFixed(1)}%,${alpha})`;
const within = (x: number, low: number, high: number): number => Math.min(high, Math.max(low, x));

export function tiled(element: HTMLCanvasElement, repeatX: number, repeatY: number): CanvasTexture {
  const map = new CanvasTexture(element);
  map.wrapS = map.wrapT = RepeatWrapping;
  map.repeat.set(repeatX, repeatY);
  map.colorSpace = SRGBColorSpace;
  return map;
}

/** Dabs of colour that wrap around the edges of a square. */
function dabs(
  base: string,
  count: number,
  dab: (c: Context, x: number, y: number) => void,
  random: Random,
): HTMLCanvasElement {
  const size = 1024;
  const [element, c] = canvas(size, size);
  c.fillStyle = base;
  c.fillRect(0, 0, size, size);
  for (let i = 0; i < count; i++) {
    const [x, y] = [random.uniform() * size, random.uniform() * size];
    for (const dx of [0, x < 40 ? size : -size])
      for (const dy of [0, y < 40 ? size : -size]) {
        if (Math.abs(x + dx - size / 2) > size / 2 + 40 || Math.abs(y + dy - size / 2) > size / 2 + 40)
          continue;
        c.save();
        dab(c, x + dx, y + dy);
        c.restore();
      }
  }
  return element;
}

const speckles =
  (hue: number, saturation: number, light: number, spread: number, random: Random) =>
  (c: Context, x: number, y: number): void => {
    const l = within(light + spread * random.normal(), 8, 92);
    c.fillStyle = hsl(hue + 4 * random.normal(), saturation, l, 0.35);
    const r = 1 + 5 * random.uniform() ** 4;
    c.beginPath();
    c.ellipse(x, y, r * 2, r, random.uniform() * 3, 0, 7);
    c.fill();
  };

const blades =
  (light: number, random: Random) =>
  (c: Context, x: number, y: number): void => {
    c.strokeStyle = hsl(84 + 10 * random.normal(), 34, within(light + 9 * random.normal(), 14, 62), 0.6);
    c.lineWidth = 1.4;
    c.beginPath();
    c.moveTo(x, y);
    c.lineTo(x + 4 * random.normal(), y - 9 * random.uniform());
    c.stroke();
  };

export function groundPicture(kind: ScenePlan['ground'], random: Random): HTMLCanvasElement {
  const shift = 5 * random.normal();
  if (kind === 'grass') return dabs(hsl(88, 32, 34 + shift), 40000, blades(36 + shift, random), random);
  if (kind === 'tarmac')
    return dabs(hsl(215, 4, 46 + shift), 26000, speckles(215, 4, 46 + shift, 12, random), random);
  return dabs(hsl(36, 30, 66 + shift), 26000, speckles(34, 26, 66 + shift, 9, random), random);
}

function tree(c: Context, x: number, foot: number, size: number, random: Random): void {
  c.fillStyle = hsl(28, 22, 22);
  c.fillRect(x - size * 0.04, foot - size * 0.5, size * 0.08, size * 0.5);
  const hue = 92 + 7 * random.normal();
  const clumps = Array.from({ length: 9 }, () => [0.3 * random.normal(), 0.26 * random.normal()] as const);
  for (let i = 0; i < 500; i++) {
    const [angle, r] = [random.uniform() * 2 * Math.PI, Math.sqrt(random.uniform())];
    const [atX, atY] = clumps[i % clumps.length] ?? [0, 0];
    const dx = (Math.cos(angle) * r * 0.24 + atX * 0.75) * size;
    const dy = (Math.sin(angle) * r * 0.2 + atY * 0.75) * size;
    const light = 27 - (14 * dy) / size - (8 * dx) / size + 5 * random.normal();
    c.fillStyle = hsl(hue + 6 * random.normal(), 30, Math.max(10, light), 0.8);
    c.beginPath();
    c.ellipse(x + dx, foot - size * 0.68 + dy, size * 0.035, size * 0.022, random.uniform() * 3, 0, 7);
    c.fill();
  }
}

/** Blurs what has been drawn so far, once: a filter that stays set would blur each dab by itself, very slowly. */
function soften(element: HTMLCanvasElement, c: Context, radiusPx: number): void {
  c.filter = `blur(${radiusPx}px)`;
  c.drawImage(element, 0, 0);
  c.filter = 'none';
}

function sky(c: Context, widthPx: number, horizonPx: number, overcast: boolean, random: Random): void {
  const gradient = c.createLinearGradient(0, 0, 0, horizonPx);
  gradient.addColorStop(0, overcast ? hsl(210, 8, 74) : hsl(211, 52, 66));
  gradient.addColorStop(1, overcast ? hsl(210, 6, 86) : hsl(205, 40, 87));
  c.fillStyle = gradient;
  c.fillRect(0, 0, widthPx, horizonPx + 20);
  for (let i = 0; i < 160; i++) {
    c.fillStyle = hsl(210, 20, overcast ? 82 : 95, 0.25);
    const [x, y] = [random.uniform() * widthPx, (0.1 + 0.7 * random.uniform()) * horizonPx];
    const halfPx = 160 * random.uniform();
    for (const around of [-widthPx, 0, widthPx]) {
      c.beginPath();
      c.ellipse(x + around, y, halfPx, 16, 0, 0, 7);
      c.fill();
    }
  }
}

function hall(c: Context, widthPx: number, foot: number, random: Random): void {
  // None lies across the picture's ends, which meet.
  for (let x = 40; x < widthPx - 700; x += 700 + 500 * random.uniform()) {
    const [wide, high] = [350 + 300 * random.uniform(), 60 + 60 * random.uniform()];
    c.fillStyle = hsl(20 + 200 * Math.round(random.uniform()), 12, 40 + 25 * random.uniform());
    c.fillRect(x, foot - high, wide, high);
    c.fillStyle = hsl(10, 25, 32);
    c.fillRect(x - 12, foot - high - 16, wide + 24, 18);
    c.fillStyle = hsl(210, 15, 24);
    for (let w = x + 20; w < x + wide - 40; w += 60) c.fillRect(w, foot - high * 0.7, 34, high * 0.3);
  }
}

/** Hills above the horizon; the last of them lead back to the first. */
function ridgePx(x: number, widthPx: number): number {
  const hills = (at: number): number => 18 + 8 * Math.sin(at / 190) + 5 * Math.sin(at / 61 + 1);
  const share = smoothStep(1 - (widthPx - x) / 600);
  return (1 - share) * hills(x) + share * hills(x - widthPx);
}

/** Once around, its ends meet: sky, hills, trees or buildings. The horizon lies at this share of its height from the top. */
export const HORIZON = 0.8;
export function panorama(scene: ScenePlan): HTMLCanvasElement {
  const random = numbers(scene.seed);
  const [widthPx, heightPx] = [6144, 640];
  const [element, c] = canvas(widthPx, heightPx);
  const horizonPx = HORIZON * heightPx;
  sky(c, widthPx, horizonPx, scene.overcast, random);
  soften(element, c, 7);
  c.fillStyle = hsl(120, 14, 46);
  c.fillRect(0, horizonPx - 4, widthPx, heightPx);
  c.beginPath();
  c.moveTo(0, horizonPx + 9);
  for (let x = 0; x <= widthPx; x += 8) c.lineTo(x, horizonPx - ridgePx(x, widthPx));
  c.lineTo(widthPx, horizonPx + 9);
  c.fill();
  if (scene.beyond === 'hall') hall(c, widthPx, horizonPx + 3, random);
  const trees = { trees: 110, hall: 25, hills: 14 }[scene.beyond];
  for (let i = 0; i < trees; i++) {
    const [x, size] = [random.uniform() * widthPx, 60 + 90 * random.uniform()];
    tree(c, within(x, size, widthPx - size), horizonPx + 4, size, random);
  }
  soften(element, c, 1);
  return element;
}

/** Hair: fine streaks along the body, light and dark. */
export function hair(seed: number): CanvasTexture {
  const random = numbers(seed);
  const [element, c] = canvas(512, 512);
  c.fillStyle = '#dcdcdc';
  c.fillRect(0, 0, 512, 512);
  for (let i = 0; i < 9000; i++) {
    const light = 215 + 22 * random.normal();
    c.strokeStyle = `rgba(${light},${light},${light},0.35)`;
    const [x, y] = [random.uniform() * 512, random.uniform() * 512];
    c.beginPath();
    c.moveTo(x, y);
    c.lineTo(x + 14 + 8 * random.normal(), y + 3 * random.normal());
    c.stroke();
  }
  for (let i = 0; i < 260; i++) {
    const light = random.uniform() < 0.5 ? 0 : 255;
    c.fillStyle = `rgba(${light},${light},${light},0.035)`;
    c.beginPath();
    const r = 14 + 40 * random.uniform();
    c.ellipse(random.uniform() * 512, random.uniform() * 512, r * 1.6, r, 0, 0, 7);
    c.fill();
  }
  return tiled(element, 1, 1);
}
