/** Where a drawn picture is taken: ground, what stands behind, blades about the hooves, light. Yard metres. */
import {
  BackSide,
  BoxGeometry,
  Color,
  CylinderGeometry,
  DirectionalLight,
  DoubleSide,
  Group,
  HemisphereLight,
  LinearSRGBColorSpace,
  Mesh,
  MeshBasicMaterial,
  PlaneGeometry,
  type Scene as Stage,
  type Texture,
} from 'three';
import { sunOf } from '../yard.ts';
import { radians, type Vec } from '../curves.ts';
import type { Camera } from '../camera.ts';
import { chances, type Random } from './chance.ts';
import type { GroundLook, YardLook } from './looks.ts';
import type { Scene, Shot } from './plans.ts';
import { bladeTexture, groundTexture, HORIZON, surroundingsTexture } from './textures.ts';

const FAR_M = 70;
const FAR_HIGH_M = 64;
const GROUND_M = 160;
/** Drawn after the skins: what they cover need not be worked out. */
const BEHIND = 1;
/** Rows of blades before and behind the horse, as the camera sees it. */
const ROWS = 16;

export class Surroundings {
  readonly toSun: Vec;
  readonly #group = new Group();
  readonly #around: Mesh;
  readonly #fence: Group | null;
  readonly #rows: Mesh[] = [];
  readonly #textures: Texture[] = [];

  constructor(stage: Stage, { yard, light }: Scene) {
    const random = chances(yard.seed);
    this.#ground(yard.ground, GROUND_M, GROUND_M, random).position.z = -0.004;
    if (yard.strip) {
      const strip = this.#ground(yard.strip, GROUND_M, yard.stripWideM, random);
      strip.rotation.z = radians(yard.stripTurnDeg);
      strip.position.z = -0.002;
    }
    this.#around = this.#surroundings(yard, random);
    this.#fence = yard.fence && fence(yard.fence);
    if (this.#fence) this.#group.add(this.#fence);
    if (yard.cover > 0) this.#blades(yard, random);
    this.toSun = sunOf({
      ...light,
      seed: 0,
      ground: 'sand',
      beyond: 'hills',
      fence: false,
      overcast: false,
      dust: 0,
    });
    const sun = new DirectionalLight(light.sunColour, light.sun);
    sun.position.set(...this.toSun);
    const sky = new HemisphereLight(light.skyColour, light.groundColour, light.sky);
    // Up is z here.
    sky.position.set(0, 0, 1);
    this.#group.add(sun, sky);
    stage.add(this.#group);
  }

  #map(texture: Texture): Texture {
    this.#textures.push(texture);
    return texture;
  }

  #ground(look: GroundLook, long: number, wide: number, random: Random): Mesh {
    const map = this.#map(groundTexture(look, random));
    map.repeat.set(long / look.tileM, wide / look.tileM);
    const mesh = new Mesh(new PlaneGeometry(long, wide), new MeshBasicMaterial({ map }));
    mesh.renderOrder = BEHIND;
    this.#group.add(mesh);
    return mesh;
  }

  #surroundings(yard: YardLook, random: Random): Mesh {
    const map = this.#map(surroundingsTexture(yard, random));
    map.repeat.set(3, 1);
    const material = new MeshBasicMaterial({ map, side: BackSide, depthWrite: false });
    const mesh = new Mesh(new CylinderGeometry(FAR_M, FAR_M, FAR_HIGH_M, 48, 1, true), material);
    mesh.rotation.x = Math.PI / 2;
    mesh.renderOrder = BEHIND + 1;
    this.#group.add(mesh);
    return mesh;
  }

  #blades(yard: YardLook, random: Random): void {
    const thin = yard.ground.kind === 'blades';
    const map = this.#map(bladeTexture((yard.strip ?? yard.ground).colour, thin, random));
    map.repeat.set(5 / (thin ? 0.7 : 1.4), 1);
    const material = new MeshBasicMaterial({ map, alphaTest: 0.4, side: DoubleSide });
    for (let i = 0; i < ROWS; i++) {
      const row = new Mesh(new PlaneGeometry(5, yard.cover), material);
      row.rotation.order = 'ZXY';
      row.rotation.x = Math.PI / 2;
      row.position.z = yard.cover / 2 - 0.004;
      this.#rows.push(row);
      this.#group.add(row);
    }
  }

  /** For one picture. `middle`: of the horse. */
  place(shot: Shot, camera: Camera, middle: Vec): void {
    const [dx, dy] = [middle[0] - camera.place[0], middle[1] - camera.place[1]];
    const heading = Math.atan2(dy, dx);
    this.#around.position.set(
      camera.place[0],
      camera.place[1],
      camera.place[2] + (HORIZON - 0.5) * FAR_HIGH_M,
    );
    this.#around.rotation.y = radians(shot.surroundingsTurnDeg);
    const beyond = (m: number): [number, number] => [
      middle[0] + Math.cos(heading) * m,
      middle[1] + Math.sin(heading) * m,
    ];
    this.#fence?.position.set(...beyond(1.2 + shot.fenceBehindM), 0);
    this.#fence?.rotation.set(0, 0, heading + Math.PI / 2 + radians(shot.fenceTurnDeg));
    this.#rows.forEach((row, i) => {
      const [x, y] = beyond((i / (ROWS - 1) - 0.5) * 3.2);
      // Each row shows another part of the blades.
      const aside = ((i * 0.377) % 1) - 0.5;
      row.position.set(x - Math.sin(heading) * aside, y + Math.cos(heading) * aside, row.position.z);
      row.rotation.z = heading + Math.PI / 2;
    });
  }

  /** Materials are left to the garbage collector: their programs serve the next scene. */
  dispose(): void {
    for (const texture of this.#textures) texture.dispose();
    this.#group.traverse((o) => {
      if (!(o instanceof Mesh)) return;
      (o.geometry as PlaneGeometry).dispose();
    });
    this.#group.removeFromParent();
  }
}

function fence({ colour, rails, heightM }: NonNullable<YardLook['fence']>): Group {
  const group = new Group();
  const material = new MeshBasicMaterial({ color: new Color().setHex(colour, LinearSRGBColorSpace) });
  const post = new BoxGeometry(0.11, 0.11, heightM);
  for (let x = -24; x <= 24; x += 2.5) {
    const mesh = new Mesh(post, material);
    mesh.position.set(x, 0, heightM / 2);
    group.add(mesh);
  }
  const rail = new BoxGeometry(50, 0.05, 0.11);
  for (let i = 0; i < rails; i++) {
    const mesh = new Mesh(rail, material);
    mesh.position.set(0, 0, (heightM * (i + 1)) / rails - 0.08);
    group.add(mesh);
  }
  return group;
}
