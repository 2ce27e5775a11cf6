/** Ground, fence, trees and sky of an invented yard, and the light. */
import {
  BoxGeometry,
  CanvasTexture,
  DirectionalLight,
  Group,
  HemisphereLight,
  Mesh,
  MeshLambertMaterial,
  PlaneGeometry,
  RepeatWrapping,
  SRGBColorSpace,
  type Scene,
} from 'three';
import { numbers } from '../support/kinematicLaws.ts';

type Random = ReturnType<typeof numbers>;

function canvas(widthPx: number, heightPx: number): [HTMLCanvasElement, CanvasRenderingContext2D] {
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

/** Dabs of colour that wrap around the edges of a square. */
function dabs(
  size: number,
  base: string,
  count: number,
  dab: (c: CanvasRenderingContext2D, x: number, y: number) => void,
  random: Random,
): HTMLCanvasElement {
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

function ground(element: HTMLCanvasElement, repeatX: number, repeatY: number): MeshLambertMaterial {
  const map = new CanvasTexture(element);
  map.wrapS = map.wrapT = RepeatWrapping;
  map.repeat.set(repeatX, repeatY);
  map.anisotropy = 4;
  map.colorSpace = SRGBColorSpace;
  return new MeshLambertMaterial({ map });
}

function sand(random: Random): HTMLCanvasElement {
  return dabs(
    1024,
    hsl(36, 30, 66),
    26000,
    (c, x, y) => {
      const light = 66 + 9 * random.normal();
      c.fillStyle = hsl(34 + 4 * random.normal(), 26, Math.min(85, Math.max(38, light)), 0.35);
      const r = 1 + 5 * random.uniform() ** 4;
      c.beginPath();
      c.ellipse(x, y, r * 2, r, random.uniform() * 3, 0, 7);
      c.fill();
    },
    random,
  );
}

function grass(random: Random): HTMLCanvasElement {
  return dabs(
    1024,
    hsl(88, 32, 34),
    40000,
    (c, x, y) => {
      c.strokeStyle = hsl(
        84 + 10 * random.normal(),
        34,
        Math.min(58, Math.max(18, 36 + 9 * random.normal())),
        0.6,
      );
      c.lineWidth = 1.4;
      c.beginPath();
      c.moveTo(x, y);
      c.lineTo(x + 4 * random.normal(), y - 9 * random.uniform());
      c.stroke();
    },
    random,
  );
}

function tree(c: CanvasRenderingContext2D, x: number, foot: number, size: number, random: Random): void {
  c.fillStyle = hsl(28, 22, 22);
  c.fillRect(x - size * 0.04, foot - size * 0.5, size * 0.08, size * 0.5);
  const hue = 92 + 7 * random.normal();
  const clumps = Array.from({ length: 9 }, () => [0.3 * random.normal(), 0.26 * random.normal()] as const);
  for (let i = 0; i < 900; i++) {
    const [angle, r] = [random.uniform() * 2 * Math.PI, Math.sqrt(random.uniform())];
    const [atX, atY] = clumps[i % clumps.length] ?? [0, 0];
    const dx = (Math.cos(angle) * r * 0.24 + atX * 0.75) * size;
    const dy = (Math.sin(angle) * r * 0.2 + atY * 0.75) * size;
    const light = 27 - (14 * dy) / size - (8 * dx) / size + 5 * random.normal();
    c.fillStyle = hsl(hue + 6 * random.normal(), 30, Math.max(10, light), 0.8);
    c.beginPath();
    c.ellipse(x + dx, foot - size * 0.68 + dy, size * 0.03, size * 0.018, random.uniform() * 3, 0, 7);
    c.fill();
  }
}

/** Blurs what has been drawn so far, once: a filter that stays set would blur each dab by itself, very slowly. */
function soften(element: HTMLCanvasElement, c: CanvasRenderingContext2D, radiusPx: number): void {
  c.filter = `blur(${radiusPx}px)`;
  c.drawImage(element, 0, 0);
  c.filter = 'none';
}

/** Sky, hills and trees behind the yard, as large as the picture; the horizon at `horizonPx`. */
export function backdrop(
  widthPx: number,
  heightPx: number,
  horizonPx: number,
  seed: number,
): HTMLCanvasElement {
  const random = numbers(seed);
  const [element, c] = canvas(widthPx, heightPx);
  const sky = c.createLinearGradient(0, 0, 0, horizonPx);
  sky.addColorStop(0, hsl(211, 52, 66));
  sky.addColorStop(1, hsl(205, 40, 87));
  c.fillStyle = sky;
  c.fillRect(0, 0, widthPx, heightPx);
  for (let i = 0; i < 70; i++) {
    c.fillStyle = hsl(210, 20, 95, 0.25);
    c.beginPath();
    const [x, y] = [random.uniform() * widthPx, (0.05 + 0.6 * random.uniform()) * horizonPx];
    c.ellipse(x, y, widthPx * 0.08 * random.uniform(), heightPx * 0.02, 0, 0, 7);
    c.fill();
  }
  soften(element, c, widthPx / 160);
  c.fillStyle = hsl(120, 14, 46);
  c.beginPath();
  c.moveTo(0, horizonPx + 9);
  for (let x = 0; x <= widthPx; x += 8)
    c.lineTo(x, horizonPx - heightPx * (0.035 + 0.015 * Math.sin(x / 190) + 0.01 * Math.sin(x / 61 + 1)));
  c.lineTo(widthPx, horizonPx + 9);
  c.fill();
  for (let i = 0; i < 34; i++) {
    const size = heightPx * (0.1 + 0.14 * random.uniform());
    tree(c, random.uniform() * widthPx, horizonPx + 4, size, random);
  }
  soften(element, c, widthPx / 900);
  return element;
}

/** Adds ground, fence and light. `away` points from the camera to the path: +1 or -1 along y. Returns the sun. */
export function yard(scene: Scene, away: 1 | -1, seed: number): DirectionalLight {
  const random = numbers(seed + 1);
  const meadow = new Mesh(new PlaneGeometry(160, 160), ground(grass(random), 40, 40));
  const track = new Mesh(new PlaneGeometry(90, 6.4), ground(sand(random), 14, 1));
  track.position.set(0, 0.2 * away, 0);
  meadow.position.z = -0.004;
  meadow.receiveShadow = track.receiveShadow = true;
  scene.add(meadow, track, fence(away, random));
  scene.add(new HemisphereLight(0xdfeaf7, 0x8a7a5c, 1.15));
  const sun = new DirectionalLight(0xfff1d8, 3.4);
  sun.castShadow = true;
  sun.shadow.mapSize.set(1024, 1024);
  sun.shadow.radius = 3;
  sun.shadow.bias = -0.0012;
  sun.shadow.normalBias = 0.035;
  Object.assign(sun.shadow.camera, { left: -2.6, right: 2.6, top: 2.6, bottom: -2.6, near: 1, far: 25 });
  scene.add(sun, sun.target);
  return sun;
}

function fence(away: 1 | -1, random: Random): Group {
  const group = new Group();
  const wood = new MeshLambertMaterial({ color: 0xa08f78 });
  const y = 5.2 * away;
  for (let x = -15; x <= 15; x += 2.5) {
    const post = new Mesh(new BoxGeometry(0.12, 0.12, 1.25), wood);
    post.position.set(x + 0.04 * random.normal(), y, 0.6);
    group.add(post);
  }
  for (const z of [0.55, 1.05]) {
    const rail = new Mesh(new BoxGeometry(32, 0.05, 0.11), wood);
    rail.position.set(0, y - 0.08 * away, z);
    group.add(rail);
  }
  return group;
}
