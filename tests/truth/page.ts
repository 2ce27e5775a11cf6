/** In the browser: draws one clip, picture by picture. Driven by make.ts. */
import {
  BufferGeometry,
  CanvasTexture,
  DoubleSide,
  Mesh,
  MeshLambertMaterial,
  MeshPhongMaterial,
  PerspectiveCamera,
  Raycaster,
  RepeatWrapping,
  Scene,
  SRGBColorSpace,
  Vector3,
  WebGLRenderer,
  type DirectionalLight,
} from 'three';
import { HOOF, FETLOCK, KNEE_OR_HOCK, LIMBS, POINT_NAMES, type PointName } from '../../src/points.ts';
import { numbers } from '../support/kinematicLaws.ts';
import { cameraOf, type Camera } from './camera.ts';
import { add, minus, times, unit, type Vec } from './curves.ts';
import { handlerSkin } from './handler.ts';
import {
  CHESTNUT,
  headBeads,
  headFrame,
  hoofRings,
  limbRings,
  maneRings,
  neckBeads,
  tailRings,
  trunkRings,
} from './horseSkin.ts';
import { beads, skin, type Ring } from './loft.ts';
import type { ClipPlan } from './plans.ts';
import { keypoints, poseAt, type HorsePose } from './pose.ts';
import { backdrop, yard } from './yard.ts';

const LEFT: Vec = [0, 1, 0];

/** Hair: fine streaks along the body, light and dark. */
function hair(seed: number): CanvasTexture {
  const random = numbers(seed);
  const element = document.createElement('canvas');
  element.width = element.height = 512;
  const c = element.getContext('2d', { willReadFrequently: true });
  if (!c) throw new Error('This browser has no 2d canvas');
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
  const map = new CanvasTexture(element);
  map.wrapS = map.wrapT = RepeatWrapping;
  map.colorSpace = SRGBColorSpace;
  return map;
}

class Drawing {
  readonly camera: Camera;
  readonly #plan: ClipPlan;
  readonly #renderer: WebGLRenderer;
  readonly #scene = new Scene();
  readonly #lens: PerspectiveCamera;
  readonly #sun: DirectionalLight;
  readonly #meshes = new Map<string, Mesh>();
  readonly #coat: MeshPhongMaterial;
  readonly #cloth = new MeshLambertMaterial({ vertexColors: true, side: DoubleSide });
  readonly #picture: CanvasRenderingContext2D;

  constructor(plan: ClipPlan) {
    const { widthPx, heightPx } = plan.camera;
    this.#plan = plan;
    this.camera = cameraOf(plan.camera);
    this.#renderer = new WebGLRenderer({ antialias: true, preserveDrawingBuffer: true });
    this.#renderer.setSize(widthPx, heightPx, false);
    this.#renderer.shadowMap.enabled = true;
    this.#coat = new MeshPhongMaterial({
      vertexColors: true,
      map: hair(plan.walk.seed),
      shininess: 16,
      specular: 0x1c1814,
      side: DoubleSide,
    });
    this.#lens = this.#lensOf();
    const horizonPx = heightPx / 2 - this.camera.focalPx * Math.tan((plan.camera.tiltDeg * Math.PI) / 180);
    const behind = new CanvasTexture(backdrop(widthPx, heightPx, horizonPx, plan.walk.seed));
    behind.colorSpace = SRGBColorSpace;
    this.#scene.background = behind;
    this.#sun = yard(this.#scene, plan.camera.sees === 'right' ? 1 : -1, plan.walk.seed);
    const element = document.createElement('canvas');
    element.width = widthPx;
    element.height = heightPx;
    const picture = element.getContext('2d', { willReadFrequently: true });
    if (!picture) throw new Error('This browser has no 2d canvas');
    this.#picture = picture;
  }

  #lensOf(): PerspectiveCamera {
    const { plan, place, forward, focalPx } = this.camera;
    const fov = (2 * Math.atan(plan.heightPx / 2 / focalPx) * 180) / Math.PI;
    const lens = new PerspectiveCamera(fov, plan.widthPx / plan.heightPx, 0.5, 200);
    lens.up.set(0, 0, 1);
    lens.position.set(...place);
    lens.lookAt(...add(place, forward));
    lens.updateMatrixWorld();
    return lens;
  }

  #part(
    name: string,
    rings: readonly Ring[],
    around: number,
    material = this.#coat as Mesh['material'],
  ): void {
    const old = this.#meshes.get(name);
    const geometry = skin(rings, around, old?.geometry as BufferGeometry | undefined);
    if (old) return;
    const mesh = new Mesh(geometry, material);
    mesh.castShadow = mesh.receiveShadow = true;
    mesh.frustumCulled = false;
    this.#meshes.set(name, mesh);
    this.#scene.add(mesh);
  }

  #dress(pose: HorsePose): void {
    const { walk } = this.#plan;
    this.#part('trunk', trunkRings(walk, pose, CHESTNUT), 40);
    this.#part('neck', beads(neckBeads(walk, pose, CHESTNUT), LEFT, 5), 28);
    this.#part('head', beads(headBeads(walk, pose, CHESTNUT), LEFT, 4), 24);
    this.#part('tail', tailRings(walk, pose, CHESTNUT), 16);
    this.#part('mane', maneRings(walk, pose, CHESTNUT), 16);
    for (const limb of LIMBS) {
      this.#part(limb, limbRings(walk, limb, pose.limbs[limb], CHESTNUT), 20);
      this.#part(`${limb} hoof`, hoofRings(walk, pose.limbs[limb], CHESTNUT), 28);
    }
    this.#head(pose);
    const { parts, rope } = handlerSkin(walk, pose, this.#plan.handlerSide);
    for (const [name, rings] of Object.entries(parts)) this.#part(`handler ${name}`, rings, 16, this.#cloth);
    this.#part('rope', rope, 6, this.#cloth);
    this.#sun.target.position.set(pose.bodyX - 0.1, 0, 0.6);
    const towards = this.camera.place[1] > 0 ? 1 : -1;
    this.#sun.position.set(pose.bodyX + 3.2, towards * 5.2, 8.6);
  }

  /** Ears, eyes, nostrils and the halter. */
  #head(pose: HorsePose): void {
    const h = this.#plan.walk.withersM;
    const frame = headFrame(pose);
    const small = (place: Vec, size: number, colour: number): Ring[] =>
      beads(
        [-1, -0.6, 0, 0.6, 1].map((s) => ({
          place: add(place, times(frame.along, s * size)),
          depth: size * 0.75 * Math.sqrt(1.02 - s * s),
          width: size * 0.6 * Math.sqrt(1.02 - s * s),
          colour,
        })),
        LEFT,
        2,
      );
    const strap = (share: number, jaw: number, depth: number, width: number): Ring[] =>
      beads(
        [-0.012, 0.012].map((s) => ({
          place: frame.at(share + s, jaw * h, 0),
          depth: depth * h,
          width: width * h,
          colour: 0x2c2320,
        })),
        LEFT,
        1,
      );
    for (const side of [1, -1]) {
      const foot = frame.at(0.03, 0.012 * h, side * 0.032 * h);
      const up = unit(add(times(frame.jaw, -1), [0.15, 0, 0.75]));
      const ear = [0, 0.3, 0.65, 1].map((s, i) => ({
        place: add(foot, times(up, s * 0.105 * h)),
        depth: ([0.017, 0.023, 0.017, 0.003][i] ?? 0) * h,
        width: ([0.014, 0.016, 0.011, 0.002][i] ?? 0) * h,
        colour: i === 3 ? CHESTNUT.mane : CHESTNUT.body,
      }));
      this.#part(`ear ${side}`, beads(ear, LEFT, 3), 12);
      this.#part(`eye ${side}`, small(frame.at(0.3, 0.028 * h, side * 0.056 * h), 0.014 * h, 0x0d0a09), 10);
      this.#part(
        `nostril ${side}`,
        small(frame.at(0.93, 0.012 * h, side * 0.032 * h), 0.012 * h, 0x120d0c),
        10,
      );
    }
    this.#part('noseband', strap(0.62, 0.034, 0.049, 0.043), 20, this.#cloth);
    this.#part('headpiece', strap(0.1, 0.062, 0.07, 0.058), 20, this.#cloth);
  }

  /** One picture as JPEG (base64). */
  async picture(index: number): Promise<string> {
    const { camera, walk, blurPictures, exposureShare } = this.#plan;
    for (let i = 0; i < blurPictures; i++) {
      const within = ((i + 0.5) / blurPictures - 0.5) * exposureShare;
      this.#dress(poseAt(walk, (index + within) / camera.fps));
      this.#renderer.render(this.#scene, this.#lens);
      this.#picture.globalAlpha = 1 / (i + 1);
      this.#picture.drawImage(this.#renderer.domElement, 0, 0);
    }
    this.#picture.globalAlpha = 1;
    this.#label();
    const blob = await new Promise<Blob | null>((done) =>
      this.#picture.canvas.toBlob(done, 'image/jpeg', 0.98),
    );
    const bytes = new Uint8Array((await blob?.arrayBuffer()) ?? new ArrayBuffer(0));
    let text = '';
    for (let i = 0; i < bytes.length; i += 32768)
      text += String.fromCharCode(...bytes.subarray(i, i + 32768));
    return btoa(text);
  }

  #label(): void {
    const c = this.#picture;
    const size = Math.round(c.canvas.height / 36);
    c.font = `${size}px sans-serif`;
    c.textBaseline = 'bottom';
    c.fillStyle = 'rgba(0,0,0,0.45)';
    c.fillRect(0, c.canvas.height - size * 1.7, size * 10.4, size * 1.7);
    c.fillStyle = '#fff';
    c.fillText('drawn, not filmed', size * 0.6, c.canvas.height - size * 0.35);
  }

  /** Which points of a picture are hidden behind another part of the horse or the handler. */
  hidden(index: number): Record<PointName, boolean> {
    const { walk, camera } = this.#plan;
    const pose = poseAt(walk, index / camera.fps);
    this.#dress(pose);
    this.#scene.updateMatrixWorld();
    const places = keypoints(walk, pose, camera.sees);
    return Object.fromEntries(
      POINT_NAMES.map((name) => [name, this.#isHidden(name, places[name])]),
    ) as Record<PointName, boolean>;
  }

  #isHidden(name: PointName, place: Vec): boolean {
    const own = ownParts(name);
    const others = [...this.#meshes].filter(([part]) => !own.has(part)).map(([, mesh]) => mesh);
    const way = minus(place, this.camera.place);
    const ray = new Raycaster(new Vector3(...this.camera.place), new Vector3(...unit(way)));
    ray.far = Math.hypot(...way) - 0.02;
    return ray.intersectObjects(others, false).length > 0;
  }

  /** Picture px of a place through the drawing's own lens, to hold against camera.ts. */
  through(place: Vec): { x: number; y: number } {
    const { widthPx, heightPx } = this.#plan.camera;
    const v = new Vector3(...place).project(this.#lens);
    return { x: ((v.x + 1) / 2) * widthPx - 0.5, y: ((1 - v.y) / 2) * heightPx - 0.5 };
  }
}

/** Parts that a point lies on or inside of: they do not hide it. */
function ownParts(name: PointName): Set<string> {
  const limb = LIMBS.find((l) => [HOOF[l], FETLOCK[l], KNEE_OR_HOCK[l]].includes(name as never));
  if (limb) return new Set([limb, `${limb} hoof`]);
  const trunk = ['trunk', 'neck', 'mane', 'tail'];
  if (name === 'poll' || name === 'muzzle')
    return new Set([
      'head',
      'neck',
      'mane',
      'ear 1',
      'ear -1',
      'noseband',
      'headpiece',
      'nostril 1',
      'nostril -1',
    ]);
  if (name === 'left_point_of_shoulder') return new Set(['LF', 'trunk', 'neck']);
  if (name === 'right_point_of_shoulder') return new Set(['RF', 'trunk', 'neck']);
  if (name.startsWith('point_of')) return new Set([...trunk, 'LF', 'RF']);
  return new Set([...trunk, 'LH', 'RH']);
}

let drawing: Drawing | null = null;
const need = (): Drawing => {
  if (!drawing) throw new Error('Nothing is being drawn');
  return drawing;
};

const truthPage = {
  start: (plan: ClipPlan): void => {
    drawing = new Drawing(plan);
  },
  picture: (index: number): Promise<string> => need().picture(index),
  hidden: (index: number): Record<PointName, boolean> => need().hidden(index),
  through: (place: Vec): { x: number; y: number } => need().through(place),
};

declare global {
  var truthPage: TruthPage;
}
export type TruthPage = typeof truthPage;
globalThis.truthPage = truthPage;
