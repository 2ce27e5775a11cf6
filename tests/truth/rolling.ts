/** A rolling shutter in the vertex shader: what lies lower in the picture is drawn as it is a little later. */
import { BufferAttribute, type BufferGeometry, Matrix4, type Material } from 'three';

/**
 * Every vertex is projected as it is when the first row is exposed and as it is when the last one is; it is drawn where
 * its own row finds it, on the straight line between the two. `later` is its place at the last row's time; materials of
 * things that stand still take their one place for both.
 */
const MOVING = `
  attribute vec3 later;
  uniform mat4 viewLater;
`;
const STILL = `
  uniform mat4 viewLater;
`;
const project = (later: string): string => `
  vec4 mvPosition = modelViewMatrix * vec4( transformed, 1.0 );
  vec4 first = projectionMatrix * mvPosition;
  vec4 last = projectionMatrix * viewLater * modelMatrix * vec4( ${later}, 1.0 );
  float row = 0.5;
  if ( first.w > 0.0 && last.w > 0.0 ) {
    float y0 = first.y / first.w;
    float dy = last.y / last.w - y0;
    row = clamp( ( 1.0 - y0 ) * 0.5 / ( 1.0 + dy * 0.5 ), 0.0, 1.0 );
  }
  gl_Position = mix( first, last, row );
`;

export class RollingShutter {
  readonly #viewLater = { value: new Matrix4() };

  /** The camera's inverse matrix at the time of the last row. */
  setLater(viewLater: Matrix4): void {
    this.#viewLater.value.copy(viewLater);
  }

  /** Makes a material roll. `moving`: its geometry has the attribute `later`. */
  on(material: Material, moving: boolean): void {
    material.onBeforeCompile = (shader) => {
      shader.uniforms['viewLater'] = this.#viewLater;
      shader.vertexShader = (moving ? MOVING : STILL)
        .concat(shader.vertexShader)
        .replace('#include <project_vertex>', project(moving ? 'later' : 'transformed'));
    };
    material.customProgramCacheKey = () => `rolling ${moving}`;
  }
}

/** What has just been put into `position` becomes `later`. */
export function keepAsLater(geometry: BufferGeometry): void {
  const { array } = geometry.getAttribute('position');
  const later = geometry.getAttribute('later') as BufferAttribute | undefined;
  if (later) {
    later.array.set(array);
    later.needsUpdate = true;
  } else geometry.setAttribute('later', new BufferAttribute(Float32Array.from(array), 3));
}
