/**
 * What a camera sees that turns after a led horse: a textured ground, a wall behind, and the exact points of the horse.
 * World axes: x right, y down, z away from where the camera stands, m; no real place.
 */
import type { Box, GrayPicture } from '../../src/clip/types.ts';
import type { ObservedFrame } from '../../src/track/types.ts';
import { walk, type Walk } from '../support/kinematic.ts';
import { paste } from './ground.ts';

export interface Filming {
  /** Focal length as a share of the picture's width. */
  readonly focal: number;
  readonly direction: 'left' | 'right';
  readonly distanceM: number;
  readonly fps: number;
  /** How closely the camera follows: 0 stands, 1 keeps the horse in the middle. */
  readonly follows: number;
  readonly tiltDeg: number;
  readonly cameraHeightM: number;
}

const [W, H] = [1920, 1080];
const SMALL = 3;
const [CX, CY] = [(W - 1) / 2, (H - 1) / 2];
const WALL_M = 25;

type Vector = readonly [x: number, y: number, z: number];
interface Turned {
  readonly yaw: number;
  readonly pitch: number;
  readonly roll: number;
}

const spin = (u: number, v: number, angle: number): readonly [number, number] => [
  Math.cos(angle) * u - Math.sin(angle) * v,
  Math.sin(angle) * u + Math.cos(angle) * v,
];

function toWorld({ yaw, pitch, roll }: Turned, [x, y, z]: Vector): Vector {
  const [x1, y1] = spin(x, y, roll);
  const [z2, y2] = spin(z, y1, pitch);
  const [z3, x3] = spin(z2, x1, yaw);
  return [x3, y2, z3];
}

function toCamera({ yaw, pitch, roll }: Turned, [x, y, z]: Vector): Vector {
  const [z1, x1] = spin(z, x, -yaw);
  const [z2, y2] = spin(z1, y, -pitch);
  const [x3, y3] = spin(x1, y2, -roll);
  return [x3, y3, z2];
}

/** Grains of several sizes, m; those smaller than the picture's px are left out, as an even grey. */
const GRAINS_M = [0.012, 0.03, 0.08, 0.22, 0.6, 1.7];

function hash(i: number, j: number, k: number): number {
  let h = Math.imul(i, 374761393) ^ Math.imul(j, 668265263) ^ Math.imul(k, 2147483589);
  h = Math.imul(h ^ (h >>> 13), 1274126177);
  return ((h ^ (h >>> 16)) >>> 0) / 2 ** 32 - 0.5;
}

/** `stretch`: grains are this much longer along v, as those of a ground seen at a low angle look. */
function texture(u: number, v: number, pxU: number, pxV: number, salt: number, stretch: number): number {
  const px = Math.max(pxU, pxV / stretch);
  let sum = 0;
  // Called for every px of every picture: no closures, and no arrays but pairs that are taken apart at once.
  for (let k = 0; k < GRAINS_M.length; k++) {
    const grain = GRAINS_M[k] ?? NaN;
    const fine = px / grain;
    if (fine > 0.7) continue;
    const [x, y] = [u / grain, v / (grain * stretch)];
    const [i, j] = [Math.floor(x), Math.floor(y)];
    const [right, below] = [x - i, y - j];
    const upper = hash(i, j, k + salt) * (1 - right) + hash(i + 1, j, k + salt) * right;
    const lower = hash(i, j + 1, k + salt) * (1 - right) + hash(i + 1, j + 1, k + salt) * right;
    sum += Math.min(1, (0.7 - fine) / 0.35) * (upper * (1 - below) + lower * below);
  }
  return sum;
}

export interface Filmed {
  readonly walk: Walk;
  readonly frames: readonly ObservedFrame[];
  /** How far it turned, degrees. */
  readonly turnDeg: number;
  picture(i: number): GrayPicture;
}

/** Yaw after the horse, and a hand that shakes. */
function camera(made: Walk, film: Filming, focalPx: number): readonly Turned[] {
  const times = made.frames.map(({ timeS }) => timeS);
  const tan = made.frames.map(({ horse }) => ((horse?.points.withers?.x ?? CX) - CX) / focalPx);
  const [t0, t1] = [times[0] ?? 0, times.at(-1) ?? 1];
  const [a, b] = [tan[0] ?? 0, tan.at(-1) ?? 0];
  const degree = Math.PI / 180;
  return times.map((t) => ({
    yaw:
      film.follows * Math.atan(a + ((b - a) * (t - t0)) / (t1 - t0)) +
      degree * (0.3 * Math.sin(3.1 * t) + 0.06 * Math.sin(19 * t)),
    pitch: degree * (film.tiltDeg + 0.35 * Math.sin(2.1 * t + 1) + 0.12 * Math.sin(17 * t)),
    roll: degree * (0.5 * Math.sin(1.3 * t + 2) + 0.1 * Math.sin(13 * t)),
  }));
}

export function film(how: Filming): Filmed {
  const { distanceM, cameraHeightM, fps, direction, focal } = how;
  const focalPx = focal * W;
  const size = { widthPx: W, heightPx: H, fps };
  const made = walk({
    ...size,
    noise: 1,
    strides: 3,
    distanceM,
    direction,
    cameraHeightM,
    focalShare: focal,
  });
  const turns = camera(made, how, focalPx);
  const seen = (p: { x: number; y: number }, turned: Turned): { x: number; y: number } => {
    // The walk's own picture has its horizon at .45 of the height.
    const [x, y, z] = toCamera(turned, [(p.x - CX) / focalPx, (p.y - 0.45 * H) / focalPx, 1]);
    return { x: CX + (focalPx * x) / z, y: CY + (focalPx * y) / z };
  };
  const frames = made.frames.map((frame, i): ObservedFrame => {
    const turned = turns[i] ?? { yaw: 0, pitch: 0, roll: 0 };
    const points = Object.fromEntries(
      Object.entries(frame.horse?.points ?? {}).map(([name, p]) => [name, { ...p, ...seen(p, turned) }]),
    );
    const [xs, ys] = [Object.values(points).map(({ x }) => x), Object.values(points).map(({ y }) => y)];
    const box: Box = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
    return { timeS: frame.timeS, horse: { box, view: direction, points } };
  });
  const picture = (i: number): GrayPicture => {
    const empty = photograph(turns[i] ?? { yaw: 0, pitch: 0, roll: 0 }, focalPx / SMALL, cameraHeightM, i);
    const [x0, y0, x1, y1] = (frames[i]?.horse?.box ?? [0, 0, 0, 0]).map((v) => (v + 0.5) / SMALL - 0.5);
    return paste(empty, x0 ?? 0, y0 ?? 0, x1 ?? 0, y1 ?? 0);
  };
  const turnDeg = (((turns.at(-1)?.yaw ?? 0) - (turns[0]?.yaw ?? 0)) * 180) / Math.PI;
  return { walk: made, frames, turnDeg, picture };
}

function photograph(turned: Turned, focalPx: number, cameraHeightM: number, salt: number): GrayPicture {
  const [w, h] = [W / SMALL, H / SMALL];
  const data = new Uint8Array(w * h);
  const axes: readonly Vector[] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  // Turning is linear: where the camera's axes go tells where every ray goes.
  const [right, down, ahead] = axes.map((axis) => toWorld(turned, axis)) as [Vector, Vector, Vector];
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      const [across, below] = [(x - (w - 1) / 2) / focalPx, (y - (h - 1) / 2) / focalPx];
      const u = across * right[0] + below * down[0] + ahead[0];
      const v = across * right[1] + below * down[1] + ahead[1];
      const z = across * right[2] + below * down[2] + ahead[2];
      const light = ground(u, v, z, focalPx, cameraHeightM) ?? wall(u, v, z, focalPx);
      data[y * w + x] = Math.max(0, Math.min(255, Math.round(light + 6 * hash(x, y, 1000 + salt))));
    }
  return { widthPx: w, heightPx: h, data };
}

function ground(u: number, v: number, z: number, focalPx: number, heightM: number): number | null {
  const away = (heightM * z) / v;
  if (!(v > 0) || away > WALL_M) return null;
  return 110 + 70 * texture((heightM * u) / v, away, away / focalPx, away ** 2 / (heightM * focalPx), 0, 6);
}

const wall = (u: number, v: number, z: number, focalPx: number): number =>
  130 + 90 * texture((WALL_M * u) / z, (WALL_M * v) / z, WALL_M / focalPx, WALL_M / focalPx, 50, 1);
