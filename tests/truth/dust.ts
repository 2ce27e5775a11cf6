/** Dust that hooves stir up where they land: soft puffs laid over the picture. Sizes and times: our own estimate. */
import { numbers } from '../support/kinematicLaws.ts';
import { project, type Camera } from './camera.ts';
import type { Vec } from './curves.ts';
import type { YardStance } from './truth.ts';

const LASTS_S = 0.7;
const PUFFS = 4;

interface Puff {
  readonly place: Vec;
  readonly radiusM: number;
  readonly alpha: number;
}

/** They grow, rise and fade. */
function puffsOf({ yardM, onS, stride, limb }: YardStance, amount: number, timeS: number): Puff[] {
  const age = (timeS - onS) / LASTS_S;
  if (age <= 0 || age >= 1) return [];
  const random = numbers(1000 * (stride + 10) + limb.charCodeAt(0) + 7 * limb.charCodeAt(1));
  return Array.from({ length: PUFFS }, () => {
    const spread = 0.06 + 0.16 * age;
    const [x, y] = [yardM[0] + spread * random.normal(), yardM[1] + spread * random.normal()];
    return {
      place: [x, y, 0.02 + (0.05 + 0.08 * random.uniform()) * age],
      radiusM: 0.07 + 0.2 * age,
      alpha: 0.6 * amount * Math.min(1, 6 * age) * (1 - age) ** 1.5,
    };
  });
}

function drawPuff(c: CanvasRenderingContext2D, camera: Camera, { place, radiusM, alpha }: Puff): void {
  const at = project(camera, place);
  const radiusPx = at.y - project(camera, [place[0], place[1], place[2] + radiusM]).y;
  const [x, y] = [at.x + 0.5, at.y + 0.5];
  const soft = c.createRadialGradient(x, y, 0, x, y, radiusPx);
  soft.addColorStop(0, `rgba(230,221,202,${alpha})`);
  soft.addColorStop(1, 'rgba(230,221,202,0)');
  c.fillStyle = soft;
  c.fillRect(x - radiusPx, y - radiusPx, 2 * radiusPx, 2 * radiusPx);
}

/** `amount` from 0 to 1, as in ScenePlan. */
export function drawDust(
  c: CanvasRenderingContext2D,
  camera: Camera,
  stances: readonly YardStance[],
  amount: number,
  timeS: number,
): void {
  if (amount === 0) return;
  for (const puff of stances.flatMap((s) => puffsOf(s, amount, timeS))) drawPuff(c, camera, puff);
}
