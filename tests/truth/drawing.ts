/** In the browser: draws one clip, picture by picture, as a phone would film it. */
import {
  type Material,
  Mesh,
  MeshLambertMaterial,
  PerspectiveCamera,
  Raycaster,
  Scene,
  Vector3,
  WebGLRenderer,
} from 'three';
import { POINT_NAMES, type PointName } from '../../src/points.ts';
import { bodyParts, ownParts, type Part } from './bodyParts.ts';
import { project, type Camera } from './camera.ts';
import { minus, unit, type Vec } from './curves.ts';
import { drawDust } from './dust.ts';
import { skin } from './loft.ts';
import { inYard } from './path.ts';
import { frameTimeS, motionOf, type ClipPlan } from './plans.ts';
import { poseAt } from './pose.ts';
import { flattened, matrixOf, shadowMaterial } from './projection.ts';
import { keepAsLater, RollingShutter } from './rolling.ts';
import { canvas, hair } from './textures.ts';
import { cameraOf, pointsInYard, stancesOf, viewOf, type YardStance } from './truth.ts';
import { surroundingsZ, yard, type Yard } from './yard.ts';

/** A part of the picture, px. */
interface Window {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export class Drawing {
  readonly #plan: ClipPlan;
  readonly #cameraAt: (timeS: number) => Camera;
  readonly #renderer: WebGLRenderer;
  readonly #scenery = new Scene();
  /** The horse and its handler with their shadows, drawn over the scenery. */
  readonly #cast = new Scene();
  readonly #yard: Yard;
  readonly #lens: PerspectiveCamera;
  readonly #meshes = new Map<string, Mesh>();
  readonly #rolling = new RollingShutter();
  readonly #coat: Material;
  readonly #cloth: Material;
  readonly #shadow: Material;
  readonly #picture: CanvasRenderingContext2D;
  readonly #glimpse: CanvasRenderingContext2D;
  readonly #stances: readonly YardStance[];
  /** The scenery of a camera that does not move; it is drawn once. */
  #plate: HTMLCanvasElement | null = null;

  constructor(plan: ClipPlan) {
    const { widthPx, heightPx } = plan.camera;
    this.#plan = plan;
    this.#cameraAt = cameraOf(plan);
    this.#stances = stancesOf(plan);
    this.#renderer = new WebGLRenderer({
      antialias: true,
      alpha: true,
      stencil: true,
      preserveDrawingBuffer: true,
    });
    this.#renderer.autoClear = false;
    this.#renderer.setClearColor(0, 0);
    this.#renderer.setPixelRatio(1);
    this.#renderer.setSize(16, 16, false);
    this.#lens = new PerspectiveCamera();
    this.#lens.matrixAutoUpdate = false;
    this.#yard = yard(this.#scenery, plan.scene, plan.camera.placeM[1] > 0 ? -1 : 1, (m) =>
      this.#rolling.on(m, false),
    );
    for (const light of this.#scenery.children.filter((c) => 'isLight' in c)) this.#cast.add(light.clone());
    const look = { vertexColors: true };
    this.#coat = new MeshLambertMaterial({ ...look, map: hair(plan.scene.seed) });
    this.#cloth = new MeshLambertMaterial(look);
    this.#shadow = shadowMaterial(plan.scene.overcast ? 0.18 : 0.5);
    for (const m of [this.#coat, this.#cloth, this.#shadow]) this.#rolling.on(m, true);
    this.#picture = canvas(widthPx, heightPx)[1];
    this.#glimpse = canvas(widthPx, heightPx)[1];
  }

  /** The camera stands still and does not shake. */
  get #still(): boolean {
    const { speedMps, follow, shakeDeg, shakeM } = this.#plan.camera;
    return !follow && shakeDeg === 0 && shakeM === 0 && Math.hypot(...speedMps) === 0;
  }

  /** Both ends of the readout: the lens at the first row's time, the shutter at the last row's. */
  #look(timeS: number): void {
    const half = this.#plan.camera.readoutS / 2;
    const first = this.#cameraAt(timeS - half);
    const { widthPx, heightPx } = this.#plan.camera;
    this.#lens.fov = (2 * Math.atan(heightPx / 2 / first.focalPx) * 180) / Math.PI;
    this.#lens.aspect = widthPx / heightPx;
    this.#lens.near = 0.3;
    this.#lens.far = 200;
    this.#lens.clearViewOffset();
    this.#lens.updateProjectionMatrix();
    this.#lens.matrix.copy(matrixOf(first));
    this.#lens.updateMatrixWorld(true);
    this.#rolling.setLater(matrixOf(this.#cameraAt(timeS + half)).invert());
    const { surroundings } = this.#yard;
    surroundings.position.set(first.place[0], first.place[1], surroundingsZ(first.place[2]));
  }

  #partsAt(timeS: number): Record<string, Part> {
    const motion = motionOf(this.#plan);
    return bodyParts(motion, poseAt(motion, timeS), this.#plan.coat, this.#plan.handler);
  }

  /** Puts every skin where it is at both ends of the readout. */
  #dress(timeS: number): void {
    const half = this.#plan.camera.readoutS / 2;
    const place = (at: Vec): Vec => inYard(this.#plan.path, at);
    const later = half > 0 ? this.#partsAt(timeS + half) : null;
    for (const [name, part] of Object.entries(this.#partsAt(timeS - half))) {
      const mesh = this.#meshes.get(name) ?? this.#newPart(name, part, place);
      const { geometry } = mesh;
      const end = later?.[name];
      if (end) {
        skin(end.rings, end.around, geometry, place);
        keepAsLater(geometry);
      }
      skin(part.rings, part.around, geometry, place);
      if (!end) keepAsLater(geometry);
    }
  }

  #newPart(name: string, part: Part, place: (at: Vec) => Vec): Mesh {
    const geometry = skin(part.rings, part.around, undefined, place);
    const mesh = new Mesh(geometry, part.material === 'coat' ? this.#coat : this.#cloth);
    mesh.frustumCulled = false;
    mesh.renderOrder = 2;
    this.#meshes.set(name, mesh);
    const shadow = new Mesh(geometry, this.#shadow);
    shadow.matrixAutoUpdate = false;
    shadow.matrix.copy(flattened(this.#yard.toSun));
    shadow.frustumCulled = false;
    shadow.renderOrder = 1;
    this.#cast.add(mesh, shadow);
    return mesh;
  }

  /** Where horse, handler and their shadows are in the picture, with a margin. */
  #windowAt(timeS: number): Window {
    const { widthPx, heightPx } = this.#plan.camera;
    const motion = motionOf(this.#plan);
    const h = motion.withersM;
    const x = motion.bodyXAt(timeS);
    const reach = this.#yard.toSun;
    const corners = [-1.25 * h, 1.15 * h].flatMap((along) =>
      [-1.3, 1.3].flatMap((aside) =>
        [0, 1.95].flatMap((up): Vec[] => {
          const at = inYard(this.#plan.path, [x + along, aside, up]);
          return [at, [at[0] - (reach[0] / reach[2]) * up, at[1] - (reach[1] / reach[2]) * up, 0]];
        }),
      ),
    );
    const camera = this.#cameraAt(timeS);
    const px = corners.map((c) => project(camera, c));
    const bounds = (list: number[], most: number): [number, number] => [
      Math.max(0, Math.floor(Math.min(...list)) - 16),
      Math.min(most, Math.ceil(Math.max(...list)) + 16),
    ];
    const ahead = corners.every((c) => dot(minus(c, camera.place), camera.forward) > 0.5);
    if (!ahead) return { x: 0, y: 0, width: widthPx, height: heightPx };
    const [x0, x1] = bounds(
      px.map((p) => p.x),
      widthPx,
    );
    const [y0, y1] = bounds(
      px.map((p) => p.y),
      heightPx,
    );
    return { x: x0, y: y0, width: Math.max(0, x1 - x0), height: Math.max(0, y1 - y0) };
  }

  /** Draws a part of the picture into the upper left corner of the renderer's canvas. */
  #render(scene: Scene, { x, y, width, height }: Window): void {
    const { widthPx, heightPx } = this.#plan.camera;
    this.#lens.setViewOffset(widthPx, heightPx, x, y, width, height);
    this.#renderer.setViewport(0, this.#renderer.domElement.height - height, width, height);
    this.#renderer.render(scene, this.#lens);
  }

  /** The canvas of the renderer is as large as what has to be drawn: smaller is faster. */
  #fit(width: number, height: number): void {
    const { domElement } = this.#renderer;
    if (domElement.width < width || domElement.height < height)
      this.#renderer.setSize(Math.max(domElement.width, width), Math.max(domElement.height, height), false);
  }

  #makePlate(): HTMLCanvasElement {
    const { widthPx, heightPx } = this.#plan.camera;
    this.#fit(widthPx, heightPx);
    this.#renderer.clear();
    this.#render(this.#scenery, { x: 0, y: 0, width: widthPx, height: heightPx });
    const [plate, context] = canvas(widthPx, heightPx);
    context.drawImage(this.#renderer.domElement, 0, 0);
    this.#renderer.setSize(16, 16, false);
    return plate;
  }

  /** One look within the exposure, drawn to its own canvas. */
  #expose(timeS: number): void {
    this.#look(timeS);
    this.#dress(timeS);
    const { widthPx, heightPx } = this.#plan.camera;
    if (this.#still) {
      this.#plate ??= this.#makePlate();
      this.#look(timeS);
      this.#glimpse.drawImage(this.#plate, 0, 0);
      const { x, y, width, height } = this.#windowAt(timeS);
      if (width <= 0 || height <= 0) return;
      this.#fit(width, height);
      this.#renderer.clear();
      this.#render(this.#cast, { x, y, width, height });
      this.#glimpse.drawImage(this.#renderer.domElement, 0, 0, width, height, x, y, width, height);
      return;
    }
    const all = { x: 0, y: 0, width: widthPx, height: heightPx };
    this.#fit(widthPx, heightPx);
    this.#renderer.clear();
    this.#render(this.#scenery, all);
    this.#render(this.#cast, all);
    this.#glimpse.drawImage(this.#renderer.domElement, 0, 0);
  }

  /** One picture as JPEG (base64). */
  picture(index: number): string {
    const { shutterS, pictures } = this.#plan.exposure;
    const timeS = frameTimeS(this.#plan.camera, index);
    for (let i = 0; i < pictures; i++) {
      const atS = timeS + ((i + 0.5) / pictures - 0.5) * shutterS;
      this.#expose(atS);
      drawDust(this.#glimpse, this.#cameraAt(atS), this.#stances, this.#plan.scene.dust, atS);
      this.#picture.globalAlpha = 1 / (i + 1);
      this.#picture.drawImage(this.#glimpse.canvas, 0, 0);
    }
    this.#picture.globalAlpha = 1;
    this.#label();
    // At once: toBlob would wait for idle moments of the page.
    return this.#picture.canvas.toDataURL('image/jpeg', 0.96).replace(/^[^,]*,/, '');
  }

  #label(): void {
    const c = this.#picture;
    const px = Math.round(c.canvas.height / 36);
    c.font = `${px}px sans-serif`;
    c.textBaseline = 'bottom';
    c.fillStyle = 'rgba(0,0,0,0.45)';
    c.fillRect(0, c.canvas.height - px * 1.7, px * 10.4, px * 1.7);
    c.fillStyle = '#fff';
    c.fillText('drawn, not filmed', px * 0.6, c.canvas.height - px * 0.35);
  }

  /** Which points of a picture are hidden behind another part of the horse or the handler. */
  hidden(index: number): Record<PointName, boolean> {
    const timeS = frameTimeS(this.#plan.camera, index);
    const camera = this.#cameraAt(timeS);
    this.#look(timeS);
    this.#dress(timeS);
    this.#cast.updateMatrixWorld();
    const seen = viewOf(this.#plan, camera, timeS) === 'right' ? 'right' : 'left';
    const places = pointsInYard(this.#plan, timeS, seen);
    return Object.fromEntries(
      POINT_NAMES.map((name) => [name, this.#isHidden(name, places[name], camera.place)]),
    ) as Record<PointName, boolean>;
  }

  #isHidden(name: PointName, place: Vec, from: Vec): boolean {
    const own = ownParts(name);
    const others = [...this.#meshes].filter(([part]) => !own.has(part)).map(([, mesh]) => mesh);
    const way = minus(place, from);
    const ray = new Raycaster(new Vector3(...from), new Vector3(...unit(way)));
    ray.far = Math.hypot(...way) - 0.02;
    return ray.intersectObjects(others, false).length > 0;
  }

  /** Picture px of a yard place through the drawing's own lens at time 0, first row, to hold against camera.ts. */
  through(place: Vec): { x: number; y: number } {
    const { widthPx, heightPx, readoutS } = this.#plan.camera;
    this.#look(readoutS / 2);
    const v = new Vector3(...place).project(this.#lens);
    return { x: ((v.x + 1) / 2) * widthPx - 0.5, y: ((1 - v.y) / 2) * heightPx - 0.5 };
  }
}

const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
