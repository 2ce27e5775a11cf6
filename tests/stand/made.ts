/**
 * Made-up horses that stand before a pinhole camera (tests/support/kinematic.ts), drawn from the assumptions of src/stand
 * about what one picture does not tell. Nothing of src/stand's geometry is used.
 */
import type { PointName, Side } from '../../src/points.ts';
import type { StandPoints } from '../../src/stand/places.ts';
import { noisePct, numbers, project, WALK, type WalkOptions } from '../support/kinematic.ts';

export type Random = ReturnType<typeof numbers>;
/** Along, aside to the camera, up; withers heights from the ground below the withers. */
export type Where = readonly [along: number, aside: number, up: number];

export interface MadeUp {
  readonly camera: WalkOptions;
  readonly rollRad: number;
  readonly places: Readonly<Partial<Record<PointName, Where>>>;
}

export const CAMERA: WalkOptions = {
  ...WALK,
  ...{ direction: 'left', withersM: 1.6, widthPx: 1920, heightPx: 1080, focalShare: 0.75 },
  ...{ distanceM: 7, cameraHeightM: 1.28, obliquityDeg: 0, tiltDeg: 0 },
};

const LEGS = [
  ['fore', 0.165, 'knee', 0.02],
  ['hind', -0.62, 'hock', -0.05],
] as const;

/** `n()`: a standard normal number, 0 for the usual horse. */
export function placesOf(near: Side, n: () => number): MadeUp['places'] {
  const [foreAside, hindAside] = [0.06 + 0.025 * n(), 0.06 + 0.025 * n()];
  const trunkH = 1.045 + 0.06 * n();
  const shoulder: Where = [0.26 + 0.03 * n(), 0.115 + 0.02 * n(), 0.68 + 0.02 * n()];
  const places: Partial<Record<PointName, Where>> = {
    withers: [0, 0, 1],
    croup: [-0.55, 0, 1 + 0.02 * n()],
    tailhead: [shoulder[0] - trunkH, 0, 0.94 + 0.02 * n()],
    poll: [0.44 + 0.05 * n(), 0, 1.22 + 0.06 * n()],
    muzzle: [0.66 + 0.05 * n(), 0, 0.9 + 0.05 * n()],
    point_of_shoulder: shoulder,
  };
  for (const side of ['left', 'right'] as const) {
    for (const [end, at, joint, lean] of LEGS) {
      const aside = (side === near ? 1 : -1) * (end === 'fore' ? foreAside : hindAside);
      const toe = at + 0.05 * n();
      places[`${side}_${end}_hoof` as PointName] = [toe, aside, 0];
      places[`${side}_${end}_fetlock` as PointName] = [toe - 0.1 + 0.01 * n(), aside, 0.1 + 0.005 * n()];
      places[`${side}_${end}_${joint}` as PointName] = [
        toe - 0.1 + lean + 0.02 * n(),
        aside,
        end === 'fore' ? 0.29 : 0.36,
      ];
    }
  }
  return places;
}

/** A random horse before a random camera. */
export function madeUp(random: Random, near: Side = 'left'): MadeUp {
  const n = (): number => random.normal();
  const camera = {
    ...CAMERA,
    direction: near,
    withersM: 1.6 + 0.06 * n(),
    focalShare: 0.75 * Math.exp((0.12 / 0.75) * n()),
    distanceM: 7 + 2 * random.uniform(),
    cameraHeightM: 1.6 * Math.max(0.15, 0.8 + 0.25 * n()),
    obliquityDeg: -10 * n(),
    tiltDeg: 2 * n(),
  };
  return { camera, rollRad: 0.035 * n(), places: placesOf(near, n) };
}

/** Points of the picture, px. */
export function pictureOf({ camera, rollRad, places }: MadeUp): StandPoints {
  const h = camera.withersM;
  const [cx, cy] = [(camera.widthPx - 1) / 2, (camera.heightPx - 1) / 2];
  const [c, s] = [Math.cos(rollRad), Math.sin(rollRad)];
  const points = Object.entries(places).map(([name, [along, aside, up]]) => {
    const p = project(camera, along * h, aside * h, up * h);
    const [x, y] = [p.x - cx, p.y - cy];
    return [name, { x: cx + c * x - s * y, y: cy + s * x + c * y }];
  });
  return Object.fromEntries(points) as StandPoints;
}

export const optionsOf = ({ camera }: MadeUp) => ({
  nearSide: camera.direction,
  pictureWidthPx: camera.widthPx,
  pictureHeightPx: camera.heightPx,
});

export const heightPx = ({ camera }: MadeUp): number =>
  (camera.focalShare * Math.max(camera.widthPx, camera.heightPx) * camera.withersM) / camera.distanceM;

/** The same points with the noise of check 34. */
export function noisy(points: StandPoints, made: MadeUp, random: Random): StandPoints {
  const h = heightPx(made);
  const moved = Object.entries(points).map(([name, p]) => {
    const [sx, sy] = noisePct(name as PointName, made.camera.direction);
    return [
      name,
      p && { x: p.x + (sx / 100) * h * random.normal(), y: p.y + (sy / 100) * h * random.normal() },
    ];
  });
  return Object.fromEntries(moved) as StandPoints;
}

const deg = (up: number, along: number): number => (180 / Math.PI) * Math.atan2(up, along);

/** The true measures, lengths in m, by the names of support.ts. */
export function trueOf({ camera, places }: MadeUp): Record<string, number> {
  const h = camera.withersM;
  const near = camera.direction;
  const at = (name: string): Where => places[name as PointName] ?? [NaN, NaN, NaN];
  const ahead = (a: string, b: string): number => at(b)[0] - at(a)[0];
  const above = (a: string, b: string): number => at(b)[2] - at(a)[2];
  const lean = (side: Side, end: string, joint: string): number => {
    const [from, to] = [`${side}_${end}_fetlock`, `${side}_${end}_${joint}`];
    return deg(ahead(from, to), above(from, to));
  };
  const pastern = (side: Side, end: string): number => {
    const [from, to] = [`${side}_${end}_hoof`, `${side}_${end}_fetlock`];
    return deg(above(from, to), -ahead(from, to));
  };
  return {
    croupAboveWithersM: h * above('withers', 'croup'),
    foreLeftAheadM: h * ahead('right_fore_hoof', 'left_fore_hoof'),
    hindLeftAheadM: h * ahead('right_hind_hoof', 'left_hind_hoof'),
    [`shoulderAheadOfToeM.${near}`]: h * ahead(`${near}_fore_hoof`, 'point_of_shoulder'),
    pollHeightM: h * at('poll')[2],
    pollAboveWithersM: h * above('withers', 'poll'),
    shoulderToTailheadM: h * ahead('tailhead', 'point_of_shoulder'),
    'foreCannonLeanDeg.left': lean('left', 'fore', 'knee'),
    'foreCannonLeanDeg.right': lean('right', 'fore', 'knee'),
    'hockToFetlockLeanDeg.left': lean('left', 'hind', 'hock'),
    'hockToFetlockLeanDeg.right': lean('right', 'hind', 'hock'),
    'fetlockToToeSlopeDeg.LH': pastern('left', 'hind'),
    'fetlockToToeSlopeDeg.LF': pastern('left', 'fore'),
    'fetlockToToeSlopeDeg.RH': pastern('right', 'hind'),
    'fetlockToToeSlopeDeg.RF': pastern('right', 'fore'),
    shoulderSlopeDeg: deg(above('point_of_shoulder', 'withers'), -ahead('point_of_shoulder', 'withers')),
    neckSlopeDeg: deg(above('withers', 'poll'), ahead('withers', 'poll')),
    faceSlopeDeg: deg(above('muzzle', 'poll'), -ahead('muzzle', 'poll')),
    // The camera's angle counts the other way: positive where the forehand is farther.
    cameraObliqueDeg: -camera.obliquityDeg,
  };
}
