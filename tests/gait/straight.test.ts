/** The whole triangle, drawn: the way past the camera is measured without the turns before and after it. */
import { describe, expect, it } from 'vitest';
import { measure } from '../../src/pipeline.ts';
import { fromStillCamera, NOTHING_HIDDEN, observedExactly } from '../accuracy/exact.ts';
import type { Vec } from '../truth/curves.ts';
import { inYard } from '../truth/path.ts';
import { CLIPS, type ClipPlan, motionOf } from '../truth/plans.ts';
import { isSide } from '../truth/trueMeasures.ts';
import { truthOf } from '../truth/truth.ts';

function measured(plan: ClipPlan) {
  const truth = truthOf(plan, () => NOTHING_HIDDEN);
  const side = truth.passes.find(isSide);
  if (!side) throw new Error('no pass from the side in this plan');
  const { passes } = measure(observedExactly(plan, truth, 1), [], truth.withersM);
  const shared = (p: { startS: number; endS: number }): number =>
    Math.min(p.endS, side.endS) - Math.max(p.startS, side.startS);
  const [pass] = [...passes].sort((a, b) => shared(b) - shared(a));
  if (!pass) throw new Error('no pass was found');
  return { side, pass };
}

const planOf = (name: string): ClipPlan => {
  const plan = CLIPS[name];
  if (!plan) throw new Error(`no plan ${name}`);
  return fromStillCamera(plan);
};

describe('a pass between two turns', () => {
  const { side, pass } = measured(planOf('triangle'));
  const share = (name: 'strideLengthM' | 'overtrackM'): { found: number; truth: number } => {
    const found = pass.measures[name];
    if (!('value' in found)) throw new Error(found.reason);
    return { found: found.value, truth: side.measures[name][found.side] };
  };

  it('begins where the horse comes out of the turn', () => {
    const plan = planOf('triangle');
    const { bodyXAt } = motionOf(plan);
    const placeAt = (timeS: number): Vec => inYard(plan.path, [bodyXAt(timeS), 0, 0]);
    const [from, to] = [placeAt(side.startS), placeAt(side.endS)];
    const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    const aside = ([x, y]: Vec): number =>
      Math.abs(dx * (y - from[1]) - dy * (x - from[0])) / Math.hypot(dx, dy);
    const [cameraX, cameraY] = plan.camera.placeM;
    // At the other end it leaves the picture at the same time.
    const place = placeAt(pass.startS);
    expect(aside(place)).toBeLessThan(0.06 * Math.hypot(place[0] - cameraX, place[1] - cameraY));
    expect(pass.startS).toBeLessThan(side.startS + 0.3);
    expect(pass.endS).toBeGreaterThan(side.endS - 0.3);
  });

  it('has strides as long as they are', () => {
    const { found, truth } = share('strideLengthM');
    // The bar of the accuracy bench.
    expect(Math.abs(found / truth - 1)).toBeLessThan(0.015);
  });

  it('has the overtrack that it has', () => {
    const { found, truth } = share('overtrackM');
    expect(Math.abs(found - truth)).toBeLessThan(0.01);
  });
});

it('a straight pass is measured from its first to its last moment', () => {
  const { pass } = measured(planOf('side-pass'));
  const plan = planOf('side-pass');
  expect(pass.startS).toBeLessThan(0.3);
  expect(pass.endS).toBeGreaterThan((plan.camera.frames - 1) / plan.camera.fps - 0.3);
});
