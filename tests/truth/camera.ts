/** A phone on a tripod: pinhole, square pixels, pixel centres at whole numbers, x right, y down. */
import type { Side } from '../../src/points.ts';
import { cross, minus, radians, unit, type Vec } from './curves.ts';

export interface CameraPlan {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly fps: number;
  readonly frames: number;
  /** Focal length as a share of the picture's long side. */
  readonly focalShare: number;
  /** From the horse's path, and above the ground. */
  readonly distanceM: number;
  readonly heightM: number;
  /** Along the path. */
  readonly alongM: number;
  /** The side of the horse that it sees. */
  readonly sees: Side;
  /** Turned away from square, towards where the horse goes; and looking down. */
  readonly yawDeg: number;
  readonly tiltDeg: number;
}

export interface Camera {
  readonly plan: CameraPlan;
  readonly place: Vec;
  readonly forward: Vec;
  readonly right: Vec;
  readonly down: Vec;
  readonly focalPx: number;
}

export function cameraOf(plan: CameraPlan): Camera {
  const side = plan.sees === 'left' ? 1 : -1;
  const yaw = radians(plan.yawDeg);
  const tilt = radians(plan.tiltDeg);
  const forward = unit([
    Math.sin(yaw) * Math.cos(tilt),
    -side * Math.cos(yaw) * Math.cos(tilt),
    -Math.sin(tilt),
  ]);
  const right = unit(cross(forward, [0, 0, 1]));
  return {
    plan,
    place: [plan.alongM, side * plan.distanceM, plan.heightM],
    forward,
    right,
    down: cross(forward, right),
    focalPx: plan.focalShare * Math.max(plan.widthPx, plan.heightPx),
  };
}

const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** Picture px of a place, path metres. */
export function project(camera: Camera, place: Vec): { x: number; y: number } {
  const from = minus(place, camera.place);
  const depth = dot(from, camera.forward);
  return {
    x: (camera.plan.widthPx - 1) / 2 + (camera.focalPx * dot(from, camera.right)) / depth,
    y: (camera.plan.heightPx - 1) / 2 + (camera.focalPx * dot(from, camera.down)) / depth,
  };
}

export const inPicture = (plan: CameraPlan, p: { x: number; y: number }): boolean =>
  p.x >= 0 && p.y >= 0 && p.x <= plan.widthPx - 1 && p.y <= plan.heightPx - 1;
