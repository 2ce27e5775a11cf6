/** Ground, fence and surroundings of an invented yard, and its light. Yard metres. */
import {
  BackSide,
  BoxGeometry,
  CylinderGeometry,
  DirectionalLight,
  Group,
  HemisphereLight,
  LinearFilter,
  type Material,
  Mesh,
  MeshBasicMaterial,
  PlaneGeometry,
  type Scene,
} from 'three';
import { numbers } from '../support/kinematicLaws.ts';
import { radians, type Vec } from './curves.ts';
import type { ScenePlan } from './plans.ts';
import { groundPicture, HORIZON, panorama, tiled } from './textures.ts';

const FAR_M = 90;
const PANORAMA_M = 2 * Math.PI * FAR_M * (640 / 6144);

export interface Yard {
  /** Stays with the camera: far things show no parallax. */
  readonly surroundings: Mesh;
  /** From the ground to the light, unit length. */
  readonly toSun: Vec;
}

export const sunOf = ({ sunHeadingDeg, sunUpDeg }: ScenePlan): Vec => {
  const [heading, up] = [radians(sunHeadingDeg), radians(sunUpDeg)];
  return [Math.cos(heading) * Math.cos(up), Math.sin(heading) * Math.cos(up), Math.sin(up)];
};

/** Adds the yard to the scene; the fence on the side of the path that y points `away` to. The ground carries its own light: only the horse and handler are lit. */
export function yard(scene: Scene, plan: ScenePlan, away: 1 | -1, rolling: (m: Material) => void): Yard {
  const random = numbers(plan.seed + 1);
  const plain = (map: ReturnType<typeof tiled>): MeshBasicMaterial => {
    const material = new MeshBasicMaterial({ map });
    rolling(material);
    return material;
  };
  const size = 120;
  const cells = 48;
  const floor = new Mesh(
    new PlaneGeometry(size, size, cells, cells),
    plain(tiled(groundPicture(plan.ground === 'sand' ? 'grass' : plan.ground, random), 40, 40)),
  );
  floor.position.z = -0.006;
  scene.add(floor);
  if (plan.ground === 'sand') scene.add(track(plain(tiled(groundPicture('sand', random), 20, 2))));
  if (plan.fence) scene.add(fence(plan, away, random, rolling));
  const sky = tiled(panorama(plan), 1, 1);
  // Always magnified: smaller copies of it are never seen, and cost time.
  sky.generateMipmaps = false;
  sky.minFilter = LinearFilter;
  const around = plain(sky);
  around.side = BackSide;
  around.depthWrite = false;
  const surroundings = new Mesh(new CylinderGeometry(FAR_M, FAR_M, PANORAMA_M, 96, 8, true), around);
  surroundings.rotation.x = Math.PI / 2;
  // Last: most of it is behind the ground.
  surroundings.renderOrder = 1;
  scene.add(surroundings);
  scene.add(new HemisphereLight(0xdfeaf7, 0x8a7a5c, plan.overcast ? 2.3 : 1.15));
  const sun = new DirectionalLight(0xfff1d8, plan.overcast ? 0.7 : 3.4);
  const toSun = sunOf(plan);
  sun.position.set(...toSun);
  scene.add(sun);
  return { surroundings, toSun };
}

/** The horizon of the surroundings at the height of the camera. */
export const surroundingsZ = (cameraZ: number): number => cameraZ + (HORIZON - 0.5) * PANORAMA_M;

/** A sanded square about the path: 60 m along the yard's x, and as far to each side as a triangle needs. */
function track(material: MeshBasicMaterial): Mesh {
  const mesh = new Mesh(new PlaneGeometry(60, 7, 60, 7), material);
  mesh.position.z = -0.003;
  return mesh;
}

function fence(
  plan: ScenePlan,
  away: 1 | -1,
  random: ReturnType<typeof numbers>,
  rolling: (m: Material) => void,
): Group {
  const group = new Group();
  const wood = new MeshBasicMaterial({ color: plan.overcast ? 0x83796a : 0xa08f78 });
  const shaded = new MeshBasicMaterial({ color: plan.overcast ? 0x6f675b : 0x7d6f5d });
  for (const m of [wood, shaded]) rolling(m);
  const y = 5.6 * away;
  for (let x = -25; x <= 25; x += 2.5) {
    const post = new Mesh(new BoxGeometry(0.12, 0.12, 1.25), shaded);
    post.position.set(x + 0.04 * random.normal(), y, 0.6);
    group.add(post);
  }
  for (const z of [0.55, 1.05]) {
    const rail = new Mesh(new BoxGeometry(50, 0.05, 0.11, 50), wood);
    rail.position.set(0, y - 0.08 * away, z);
    group.add(rail);
  }
  return group;
}
