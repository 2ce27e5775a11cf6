/** Matrices of camera and sun for three.js, and what a shadow is drawn with. */
import {
  EqualStencilFunc,
  IncrementStencilOp,
  type Material,
  Matrix4,
  MeshBasicMaterial,
  Vector3,
} from 'three';
import type { Camera } from './camera.ts';
import type { Vec } from './curves.ts';

/** From camera to yard: x right, y up, z back. */
export function matrixOf({ place, right, down, forward }: Camera): Matrix4 {
  return new Matrix4()
    .makeBasis(
      new Vector3(...right),
      new Vector3(-down[0], -down[1], -down[2]),
      new Vector3(-forward[0], -forward[1], -forward[2]),
    )
    .setPosition(...place);
}

/**
 * Each spot of the ground is darkened once, however many parts stand between it and the sun. Skins are closed: their
 * fronts throw the whole shadow, in half the time.
 */
export function shadowMaterial(opacity: number): Material {
  return new MeshBasicMaterial({
    color: 0x1a160f,
    transparent: true,
    opacity,
    depthWrite: false,
    stencilWrite: true,
    stencilRef: 0,
    stencilFunc: EqualStencilFunc,
    stencilZPass: IncrementStencilOp,
  });
}

/** Along the light down to just above the ground. */
export function flattened([x, y, z]: Vec): Matrix4 {
  return new Matrix4().set(1, 0, -x / z, 0, 0, 1, -y / z, 0, 0, 0, 0, 0.002, 0, 0, 0, 1);
}
