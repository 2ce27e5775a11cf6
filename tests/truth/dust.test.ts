import { describe, expect, it } from 'vitest';
import { project } from './camera.ts';
import { drawDust } from './dust.ts';
import { CLIPS } from './plans.ts';
import { cameraOf, stancesOf } from './truth.ts';

const plan = CLIPS['side-pass'];
if (!plan) throw new Error('no such plan');
const camera = cameraOf(plan)(0);
const [stance] = stancesOf(plan).filter((s) => s.onS > 0.5);
if (!stance) throw new Error('no such stance');

/** Where and how densely dust is drawn so long after the landing. */
function puffs(afterS: number, amount = 0.7): { x: number; y: number; alpha: number }[] {
  const drawn: { x: number; y: number; alpha: number }[] = [];
  const context = {
    createRadialGradient: (x: number, y: number) => ({
      addColorStop: (at: number, colour: string) => {
        if (at === 0) drawn.push({ x, y, alpha: Number(/([\d.e-]+)\)$/.exec(colour)?.[1]) });
      },
    }),
    fillRect: () => undefined,
  } as unknown as CanvasRenderingContext2D;
  if (stance) drawDust(context, camera, [stance], amount, stance.onS + afterS);
  return drawn;
}

describe('dust', () => {
  it('rises where a hoof has landed, about its print, and settles', () => {
    const print = project(camera, [...stance.yardM, 0]);
    const fresh = puffs(0.15);
    expect(fresh.length).toBeGreaterThan(0);
    // A metre of the path is .75 x 1280 / 9 = 107 px.
    for (const p of fresh) expect(Math.hypot(p.x - print.x, p.y - print.y)).toBeLessThan(50);
    const density = (list: readonly { alpha: number }[]): number => Math.max(0, ...list.map((p) => p.alpha));
    expect(density(fresh)).toBeGreaterThan(density(puffs(0.5)));
    expect(puffs(-0.01)).toEqual([]);
    expect(puffs(1)).toEqual([]);
    expect(puffs(0.15, 0)).toEqual([]);
  });
});
