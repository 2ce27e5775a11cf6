/**
 * A phone: pinhole, square pixels, pixel centres at whole numbers, x right, y down. It stands, turns, shakes or walks
 * along; its rows are exposed one after the other. Yard metres.
 */
import { add, cross, minus, radians, times, unit, type Vec } from './curves.ts';

export interface CameraPlan {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly fps: number;
  readonly frames: number;
  /** SD of the frames' times about their place, share of a frame; 0 = steady. */
  readonly timeJitter: number;
  /** Focal length as a share of the picture's long side. */
  readonly focalShare: number;
  /** At time 0, and how it moves, m and m/s. */
  readonly placeM: Vec;
  readonly speedMps: Vec;
  /** The way it looks, degrees to the left of the yard's x; `follow`: it turns after the horse instead. */
  readonly headingDeg: number;
  readonly follow: boolean;
  /** Looking up. */
  readonly tiltDeg: number;
  /** A hand's shake: SD of the turns, degrees, and of the place, m. */
  readonly shakeDeg: number;
  readonly shakeM: number;
  /** From the first row's exposure to the last one's. */
  readonly readoutS: number;
  readonly seed: number;
}

export interface Camera {
  readonly plan: CameraPlan;
  readonly place: Vec;
  readonly forward: Vec;
  readonly right: Vec;
  readonly down: Vec;
  readonly focalPx: number;
}

/** Turns of a hand, Hz: slow sway, breath, tremor. Our own estimate, no source. */
const SHAKES = [0.7, 1.3, 2.9, 5.3] as const;
const shake = (timeS: number, seed: number, channel: number): number =>
  SHAKES.reduce(
    (sum, hz, i) => sum + Math.sin(2 * Math.PI * hz * timeS + seed * 1.7 + channel * 2.1 + i * 1.3) / (1 + i),
    0,
  );

const FOLLOW_S = 0.6;
const LOOKS = 6;

/** Turning after the horse: a little late, smoothly. Radians to the left of the yard's x. */
function followed(place: Vec, horseAt: (timeS: number) => Vec, timeS: number): number {
  const first = horseAt(timeS);
  const around = Math.atan2(first[1] - place[1], first[0] - place[0]);
  let sum = 0;
  for (let i = 0; i < LOOKS; i++) {
    const at = horseAt(timeS - (FOLLOW_S * i) / (LOOKS - 1));
    const angle = Math.atan2(at[1] - place[1], at[0] - place[0]) - around;
    sum += Math.atan2(Math.sin(angle), Math.cos(angle));
  }
  return around + sum / LOOKS;
}

/** The camera's axes in the yard. Radians: heading left of the yard's x, tilt upwards, roll clockwise as it sees. */
export function axesOf(
  heading: number,
  tilt: number,
  roll: number,
): Pick<Camera, 'forward' | 'right' | 'down'> {
  const forward: Vec = [
    Math.cos(heading) * Math.cos(tilt),
    Math.sin(heading) * Math.cos(tilt),
    Math.sin(tilt),
  ];
  const level = unit(cross(forward, [0, 0, 1]));
  const below = cross(forward, level);
  return {
    forward,
    right: add(times(level, Math.cos(roll)), times(below, Math.sin(roll))),
    down: add(times(below, Math.cos(roll)), times(level, -Math.sin(roll))),
  };
}

/** The camera at one time. `horseAt`: the middle of the horse, yard metres. */
export function cameraAt(plan: CameraPlan, horseAt: (timeS: number) => Vec, timeS: number): Camera {
  const moved = add(plan.placeM, times(plan.speedMps, timeS));
  const hand = (channel: number): number => shake(timeS, plan.seed, channel);
  const place = add(moved, times([hand(0), hand(1), hand(2)], plan.shakeM));
  const heading =
    (plan.follow ? followed(moved, horseAt, timeS) : radians(plan.headingDeg)) +
    radians(plan.shakeDeg) * hand(3);
  const tilt = radians(plan.tiltDeg) + radians(plan.shakeDeg) * hand(4);
  const roll = 0.5 * radians(plan.shakeDeg) * hand(5);
  return {
    plan,
    place,
    ...axesOf(heading, tilt, roll),
    focalPx: plan.focalShare * Math.max(plan.widthPx, plan.heightPx),
  };
}

const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

export interface Px {
  readonly x: number;
  readonly y: number;
}

/** Picture px of a place, yard metres. */
export function project(camera: Camera, place: Vec): Px {
  const from = minus(place, camera.place);
  const depth = dot(from, camera.forward);
  return {
    x: (camera.plan.widthPx - 1) / 2 + (camera.focalPx * dot(from, camera.right)) / depth,
    y: (camera.plan.heightPx - 1) / 2 + (camera.focalPx * dot(from, camera.down)) / depth,
  };
}

/** When a row is exposed in the picture of timeS, which is the middle row's time. */
export const rowTimeS = (plan: CameraPlan, timeS: number, yPx: number): number =>
  timeS + plan.readoutS * (Math.min(1.2, Math.max(-0.2, yPx / (plan.heightPx - 1))) - 0.5);

/** Picture px of something that moves, seen by a camera that moves, at the time when its row is exposed. */
export function seenAt(
  plan: CameraPlan,
  camera: (timeS: number) => Camera,
  placeAt: (timeS: number) => Vec,
  timeS: number,
): Px {
  let at = project(camera(timeS), placeAt(timeS));
  // The row moves by far less than the picture's height within a readout: three rounds settle it to .01 px.
  for (let i = 0; plan.readoutS > 0 && i < 3; i++) {
    const row = rowTimeS(plan, timeS, at.y);
    at = project(camera(row), placeAt(row));
  }
  return at;
}

export const inPicture = (plan: CameraPlan, p: Px): boolean =>
  p.x >= 0 && p.y >= 0 && p.x <= plan.widthPx - 1 && p.y <= plan.heightPx - 1;
