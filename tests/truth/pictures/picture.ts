/** In the browser: draws the pictures of one scene after the other. */
import {
  BufferAttribute,
  BufferGeometry,
  Color,
  DoubleSide,
  DynamicDrawUsage,
  LinearSRGBColorSpace,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  PerspectiveCamera,
  Scene as Stage,
  WebGLRenderer,
  type Texture,
} from 'three';
import type { Camera } from '../camera.ts';
import type { Vec } from '../curves.ts';
import { flattened, matrixOf, shadowMaterial } from '../projection.ts';
import type { Motion } from '../motion.ts';
import { poseAt, type HorsePose } from '../pose.ts';
import { castOf, isHorse } from './cast.ts';
import { chances } from './chance.ts';
import { drawnPx, FilmRoll, finest, insideOf } from './film.ts';
import { Flesh } from './flesh.ts';
import { ahead, hiddenPoints } from './hiding.ts';
import { motionOf } from './horses.ts';
import { bearingOf, labelsOf, viewFrom, withersPx, type PictureLabels, type Taken } from './labels.ts';
import { boxOf, cameraFor, HEIGHT_PX, squareOf, WIDTH_PX, type Square } from './lens.ts';
import type { Scene, Shot } from './plans.ts';
import { pointsOf, posed, warpsOf, type Warps } from './shape.ts';
import { Surroundings } from './surroundings.ts';
import { hairTexture } from './textures.ts';

export interface DrawnPicture {
  readonly jpeg: string;
  readonly labels: Omit<PictureLabels, 'file'>;
}

interface Moment {
  readonly m: Motion;
  readonly pose: HorsePose;
  readonly warps: Warps;
}

/** Light adds up in linear colours; back to the screen's with a gamma of 2, as flesh.ts takes it off. */
function lit(material: MeshLambertMaterial): void {
  material.onBeforeCompile = (shader) => {
    shader.fragmentShader = shader.fragmentShader.replace(
      '#include <colorspace_fragment>',
      'gl_FragColor.rgb = sqrt( gl_FragColor.rgb );',
    );
  };
}

export class PictureStudio {
  readonly #size: number;
  readonly #renderer: WebGLRenderer;
  readonly #stage = new Stage();
  readonly #lens = new PerspectiveCamera();
  readonly #flesh = new Flesh();
  readonly #geometry = new BufferGeometry();
  readonly #coat = new MeshLambertMaterial({ vertexColors: true, side: DoubleSide });
  readonly #shadow: Mesh;
  readonly #film: FilmRoll;
  readonly #pixels: Uint8ClampedArray<ArrayBuffer>;
  /** The same bytes, as WebGL wants them. */
  readonly #bytes: Uint8Array;
  #scene: Scene | null = null;
  #surroundings: Surroundings | null = null;
  #hair: Texture | null = null;
  #last: { readonly camera: Camera; readonly square: Square } | null = null;

  constructor(size: number) {
    this.#size = size;
    this.#renderer = new WebGLRenderer({ antialias: false, stencil: true });
    this.#renderer.setPixelRatio(1);
    this.#renderer.setSize(finest(size), finest(size), false);
    // All colours are kept as sRGB has them, only the light on the skins is worked out (lit below): it is far faster.
    this.#renderer.outputColorSpace = LinearSRGBColorSpace;
    lit(this.#coat);
    // Compiled for a texture from the first.
    this.#coat.map = hairTexture(chances(0));
    this.#lens.matrixAutoUpdate = false;
    this.#film = new FilmRoll(size);
    this.#pixels = new Uint8ClampedArray(finest(size) ** 2 * 4);
    this.#bytes = new Uint8Array(this.#pixels.buffer);
    const { position, normal, colour, uv, index } = this.#flesh;
    for (const [name, array, per] of [
      ['position', position, 3],
      ['normal', normal, 3],
      ['color', colour, 3],
      ['uv', uv, 2],
    ] as const)
      this.#geometry.setAttribute(name, new BufferAttribute(array, per).setUsage(DynamicDrawUsage));
    this.#geometry.setIndex(new BufferAttribute(index, 1).setUsage(DynamicDrawUsage));
    const skin = new Mesh(this.#geometry, this.#coat);
    const shadow = shadowMaterial(0.4);
    // Two passes would set up the material anew for each.
    shadow.forceSinglePass = true;
    this.#shadow = new Mesh(this.#geometry, shadow);
    this.#shadow.matrixAutoUpdate = false;
    skin.frustumCulled = this.#shadow.frustumCulled = false;
    this.#stage.add(skin, this.#shadow);
  }

  /** The yard, light and coat of the pictures to come. */
  enter(scene: Scene): void {
    this.#surroundings?.dispose();
    this.#hair?.dispose();
    this.#scene = scene;
    this.#surroundings = new Surroundings(this.#stage, scene);
    this.#hair = hairTexture(chances(scene.seed + 7));
    this.#coat.map = this.#hair;
    (this.#shadow.material as unknown as { opacity: number }).opacity = scene.light.shadow;
    this.#shadow.matrix.copy(flattened(this.#surroundings.toSun));
    this.#stage.background = new Color().setHex(scene.yard.sky, LinearSRGBColorSpace);
  }

  #moment(scene: Scene, shot: Shot, timeS: number): Moment {
    const m = motionOf(shot.going);
    const pose = posed(poseAt(m, timeS), scene.body.shape, shot.carriage);
    return { m, pose, warps: warpsOf(pose, m.withersM, scene.body.shape, shot.carriage) };
  }

  /** Puts everybody where they are at a moment. */
  #dress(scene: Scene, shot: Shot, moment: Moment): void {
    this.#flesh.fill(castOf(scene, shot, moment));
    for (const name of ['position', 'normal', 'color', 'uv']) {
      const attribute = this.#geometry.getAttribute(name) as BufferAttribute;
      attribute.clearUpdateRanges();
      attribute.addUpdateRange(0, this.#flesh.corners * attribute.itemSize);
      attribute.needsUpdate = true;
    }
    const index = this.#geometry.getIndex();
    if (index) {
      index.clearUpdateRanges();
      index.addUpdateRange(0, this.#flesh.indices);
      index.needsUpdate = true;
    }
    this.#geometry.setDrawRange(0, this.#flesh.indices);
  }

  #look(camera: Camera, { x, y, side }: Square, px: number): void {
    this.#lens.fov = (2 * Math.atan(HEIGHT_PX / 2 / camera.focalPx) * 180) / Math.PI;
    this.#lens.aspect = WIDTH_PX / HEIGHT_PX;
    this.#lens.near = 0.3;
    this.#lens.far = 200;
    this.#lens.setViewOffset(WIDTH_PX, HEIGHT_PX, x, y, side, side);
    this.#lens.matrix.copy(matrixOf(camera));
    this.#lens.updateMatrixWorld(true);
    this.#renderer.setViewport(0, 0, px, px);
    this.#renderer.setScissor(0, 0, px, px);
    this.#renderer.setScissorTest(true);
    this.#renderer.render(this.#stage, this.#lens);
    const gl = this.#renderer.getContext();
    gl.readPixels(0, 0, px, px, gl.RGBA, gl.UNSIGNED_BYTE, this.#bytes);
  }

  draw(shot: Shot): DrawnPicture {
    const { scene, surroundings } = { scene: this.#scene, surroundings: this.#surroundings };
    if (!scene || !surroundings) throw new Error('no scene has been entered');
    const moment = this.#moment(scene, shot, shot.timeS);
    const { m, pose, warps } = moment;
    const middle: Vec = [pose.bodyX - 0.25 * m.withersM, 0, 0.6 * m.withersM];
    const camera = cameraFor(shot, middle);
    surroundings.place(shot, camera, middle);
    this.#dress(scene, shot, moment);
    const horse = this.#flesh.ranges.filter((range) => isHorse(range.name));
    const box = boxOf(ahead(this.#flesh, camera), horse, camera);
    const square = squareOf(box, shot.frame);
    const bearingDeg = bearingOf(camera, middle);
    const points = pointsOf(m, pose, scene.body.shape, warps, bearingDeg >= 0 ? 'left' : 'right');
    const view = viewFrom(bearingDeg);
    const aside = view === 'left' || view === 'right';
    const hidden = hiddenPoints(this.#flesh, camera, points, m.withersM, scene.yard.cover, aside);
    const px = drawnPx(this.#size, shot.film);
    this.#expose(scene, shot, { camera, square, px });
    this.#last = { camera, square };
    const scale = this.#size / square.side;
    const inside = insideOf(
      shot.frame,
      box.map((v, i) => (v - (i % 2 === 0 ? square.x : square.y)) * scale),
      this.#size,
    );
    const jpeg = this.#film.develop(shot.film, px, Math.floor(shot.timeS * 1e6), inside);
    const taken: Taken = {
      ...{ motion: m, pose, camera, square, size: this.#size, warp: warps.trunk, points, bearingDeg },
    };
    return {
      jpeg,
      labels: {
        view,
        seed: shot.seed,
        withersPx: withersPx(taken),
        points: labelsOf(taken, hidden, inside),
      },
    };
  }

  /** The horse alone of the picture last drawn, from above: 1 = horse, by rows of the final square's px. */
  silhouette(): number[] {
    if (!this.#last) throw new Error('nothing has been drawn');
    const { camera, square } = this.#last;
    const size = this.#size;
    const others = this.#stage.children.filter((c) => c.type === 'Group' || c === this.#shadow);
    const background = this.#stage.background;
    this.#geometry.setDrawRange(0, this.#flesh.ranges.findLast((r) => isHorse(r.name))?.index[1] ?? 0);
    for (const other of others) other.visible = false;
    this.#stage.overrideMaterial = new MeshBasicMaterial({ color: 0xffffff, side: DoubleSide });
    this.#stage.background = new Color(0);
    this.#look(camera, square, size);
    for (const other of others) other.visible = true;
    this.#stage.overrideMaterial = null;
    this.#stage.background = background;
    return Array.from({ length: size * size }, (_, i) => {
      const row = size - 1 - Math.floor(i / size);
      return (this.#pixels[(row * size + (i % size)) * 4] ?? 0) > 127 ? 1 : 0;
    });
  }

  /** One look, or two at the quarters of the exposure; the labels are those of its middle. */
  #expose(scene: Scene, shot: Shot, by: { camera: Camera; square: Square; px: number }): void {
    const { shutterS } = shot.film;
    for (const [look, share] of (shutterS === 0 ? [0] : [-0.25, 0.25]).entries()) {
      // Without a shutter time everybody is already in place.
      if (share !== 0) this.#dress(scene, shot, this.#moment(scene, shot, shot.timeS + share * shutterS));
      this.#look(by.camera, by.square, by.px);
      this.#film.expose(this.#pixels, by.px, look);
    }
  }
}
