/** The camera of a drawn picture, and the square that is cut from what it sees. */
import { axesOf, project, type Camera, type Px } from '../camera.ts';
import { minus, radians, unit, type Vec } from '../curves.ts';
import { boundsOf } from './hiding.ts';
import type { Range } from './flesh.ts';
import type { Framing, Shot } from './plans.ts';

/** The whole picture that the square is a part of. */
export const WIDTH_PX = 1920;
export const HEIGHT_PX = 1080;

/** Part of the whole picture, px from its upper left edge. */
export interface Square {
  readonly x: number;
  readonly y: number;
  readonly side: number;
}

/** Looks at the horse, which need not be in the middle of the picture. `middle`: of the horse, yard metres. */
export function cameraFor(shot: Shot, middle: Vec): Camera {
  const bearing = radians(shot.bearingDeg);
  const place: Vec = [
    middle[0] + shot.distanceM * Math.cos(bearing),
    middle[1] + shot.distanceM * Math.sin(bearing),
    shot.heightM,
  ];
  const to = unit(minus(middle, place));
  const aside = Math.atan(shot.offAxis[0] * 0.5 * (0.5 / shot.focalShare));
  const above = Math.atan(shot.offAxis[1] * 0.5 * (0.5 / shot.focalShare) * (HEIGHT_PX / WIDTH_PX));
  const heading = Math.atan2(to[1], to[0]) + aside;
  const tilt = Math.asin(to[2]) + above;
  return {
    plan: {
      ...{ widthPx: WIDTH_PX, heightPx: HEIGHT_PX, fps: 60, frames: 1, timeJitter: 0 },
      ...{ focalShare: shot.focalShare, placeM: place, speedMps: [0, 0, 0], headingDeg: 0, follow: false },
      ...{ tiltDeg: 0, shakeDeg: 0, shakeM: 0, readoutS: 0, seed: 0 },
    },
    place,
    ...axesOf(heading, tilt, radians(shot.rollDeg)),
    focalPx: shot.focalShare * WIDTH_PX,
  };
}

/** The box of some ranges in the whole picture, px edges. */
export function boxOf(
  at: Float32Array,
  ranges: readonly Range[],
  camera: Camera,
): [number, number, number, number] {
  const all = ranges.map((range) => boundsOf(at, range.corners));
  const px = (v: number, long: number): number => long / 2 + camera.focalPx * v;
  return [
    px(Math.min(...all.map((b) => b[0])), WIDTH_PX),
    px(Math.min(...all.map((b) => b[1])), HEIGHT_PX),
    px(Math.max(...all.map((b) => b[2])), WIDTH_PX),
    px(Math.max(...all.map((b) => b[3])), HEIGHT_PX),
  ];
}

export function squareOf(
  [x0, y0, x1, y1]: readonly number[] & { length: 4 },
  { fill, offset }: Framing,
): Square {
  const [width, height] = [(x1 ?? 0) - (x0 ?? 0), (y1 ?? 0) - (y0 ?? 0)];
  const side = Math.max(width, height) / fill;
  return {
    x: (x0 ?? 0) + width / 2 - side / 2 + (offset[0] * (side - width)) / 2,
    y: (y0 ?? 0) + height / 2 - side / 2 + (offset[1] * (side - height)) / 2,
    side,
  };
}

/** Place in the square drawn `size` px wide; pixel centres at whole numbers. */
export function inSquare(camera: Camera, square: Square, size: number, at: Vec): Px {
  const p = project(camera, at);
  return {
    x: ((p.x + 0.5 - square.x) * size) / square.side - 0.5,
    y: ((p.y + 0.5 - square.y) * size) / square.side - 0.5,
  };
}
