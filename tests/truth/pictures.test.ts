/** Drawn pictures for training: seeds of their own, labels where the drawing has the points. */
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { HOOF, LIMBS, POINT_NAMES, type PointName } from '../../src/points.ts';
import { BENCH_CLIPS, BENCH_SEED, benchSet } from '../accuracy/set.ts';
import { launchChromium, root } from '../support/programs.ts';
import { COATS } from './horseSkin.ts';
import { lowestEdge, toeShare } from './pictures/labels.ts';
import { openPage, script } from './pictures/make.ts';
import type { DrawnPicture } from './pictures/picture.ts';
import {
  MOST_SEED,
  PICTURE_SEED,
  runPlan,
  sceneSeed,
  shotPlans,
  SHOTS_PER_SCENE,
  type Shot,
} from './pictures/plans.ts';
import { CLIPS } from './plans.ts';

const SIZE = 352;

describe('the plans of pictures', () => {
  it('have seeds that the bench and the sample clips do not have', () => {
    const seeds = benchSet().flatMap(({ plan }) => [plan.scene.seed, plan.camera.seed]);
    const clips = Object.values(CLIPS).map((plan) => plan.scene.seed);
    expect(Math.max(...seeds, ...clips, BENCH_SEED + BENCH_CLIPS)).toBeLessThan(PICTURE_SEED);
    expect(sceneSeed(0, 0)).toBeGreaterThanOrEqual(PICTURE_SEED);
    expect(sceneSeed(1, 0)).toBeGreaterThan(sceneSeed(0, 99_999));
    // numbers() takes 32 bits: beyond them seeds would come round to the bench's.
    expect(sceneSeed(MOST_SEED, 99_999)).toBeLessThan(2 ** 31);
    expect(() => sceneSeed(MOST_SEED + 1, 0)).toThrow(RangeError);
  });

  it('are the same for the same seed and others for another', () => {
    expect(runPlan(3, 60)).toEqual(runPlan(3, 60));
    expect(runPlan(3, SHOTS_PER_SCENE + 15).map((r) => r.shots.length)).toEqual([SHOTS_PER_SCENE, 15]);
    const [a, b] = [runPlan(3, 30)[0]?.scene, runPlan(4, 30)[0]?.scene];
    expect(a?.look.coat.body === b?.look.coat.body && a?.body.withersM === b?.body.withersM).toBe(false);
  });

  it('draw coats of their own, and views in their shares', () => {
    const runs = runPlan(7, 3000);
    const benchCoats = new Set<number>(Object.values(COATS).map((coat) => coat.body));
    expect(runs.filter(({ scene }) => benchCoats.has(scene.look.coat.body))).toEqual([]);
    const shots = runs.flatMap((run) => run.shots);
    const share = (of: (shot: Shot) => boolean): number => shots.filter(of).length / shots.length;
    for (const [view, wanted] of Object.entries({ left: 0.3, right: 0.3, away: 0.2, towards: 0.2 }))
      // Three SD of a share of 3000 (binomial law).
      expect(Math.abs(share((s) => s.wanted === view) - wanted)).toBeLessThan(
        3 * Math.sqrt((wanted * (1 - wanted)) / 3000),
      );
    expect(share((s) => 'stand' in s.going)).toBeGreaterThan(0.2);
    expect(share((s) => 'walk' in s.going && s.going.walk.manner.phases.LF > 0.5)).toBeGreaterThan(0.1);
  });
});

describe('the label of a hoof', () => {
  it('is the tip of the toe from the side and the middle of the lowest edge from before or behind', () => {
    for (const side of [90, -90, 60, -130]) expect(toeShare(side)).toBe(1);
    for (const straight of [0, 180, -175, 9]) expect(toeShare(straight)).toBe(0);
    // A circle seen from above: its lowest place is below its middle.
    const circle = Array.from({ length: 24 }, (_, i) => ({
      x: 5 + 3 * Math.cos((i * Math.PI) / 12),
      y: 7 + Math.sin((i * Math.PI) / 12),
    }));
    expect(lowestEdge(circle).x).toBeCloseTo(5, 6);
    expect(lowestEdge(circle).y).toBeCloseTo(8, 1);
  });
});

describe('twelve pictures', { timeout: 240_000 }, () => {
  let browser: Browser;
  let page: Page;
  const drawn: { picture: DrawnPicture; shot: Shot; horse: number[] }[] = [];
  const plans = runPlan(1, 4 * SHOTS_PER_SCENE);
  const chosen = plans.map(({ scene, shots }) => {
    const views = ['left', 'towards', 'away'] as const;
    return { scene, shots: views.flatMap((view) => shots.filter((s) => s.wanted === view).slice(0, 1)) };
  });
  const draw = (scene: (typeof plans)[number]['scene'], shot: Shot): Promise<[DrawnPicture[], number[]]> =>
    page.evaluate(
      ([s, one]) => [globalThis.picturesPage.scene(s, [one]), globalThis.picturesPage.silhouette()] as const,
      [scene, shot] as const,
    ) as Promise<[DrawnPicture[], number[]]>;

  beforeAll(async () => {
    browser = await launchChromium({ webgl: true });
    page = await openPage(browser, await script(root), SIZE);
    for (const [i, { scene, shots }] of chosen.entries()) {
      const right = shotPlans(scene)
        .filter((s) => s.wanted === 'right')
        .slice(0, 1);
      for (const shot of i < 3 ? [...shots.slice(0, 3), ...right] : []) {
        const [[picture], horse] = await draw(scene, shot);
        if (picture) drawn.push({ picture, shot, horse });
      }
    }
  });
  afterAll(() => browser.close());

  const at = ({ horse }: (typeof drawn)[number], x: number, y: number): number =>
    horse[Math.round(y) * SIZE + Math.round(x)] ?? 0;
  /** Horse and something else within this many px of a place. */
  const onOutline = (one: (typeof drawn)[number], [x, y]: readonly number[], px: number): boolean => {
    const seen = new Set<number>();
    for (let dy = -px; dy <= px; dy++)
      for (let dx = -px; dx <= px; dx++)
        if (dx * dx + dy * dy <= px * px) seen.add(at(one, (x ?? 0) + dx, (y ?? 0) + dy));
    return seen.size === 2;
  };

  it('show all four views', () => {
    expect(drawn).toHaveLength(12);
    expect(new Set(drawn.map(({ picture }) => picture.labels.view))).toEqual(
      new Set(['left', 'right', 'away', 'towards']),
    );
    for (const { picture, shot } of drawn) expect(picture.labels.view).toBe(shot.wanted);
  });

  it('have every point inside or marked as outside', () => {
    for (const { picture } of drawn) {
      expect(Object.keys(picture.labels.points)).toEqual([...POINT_NAMES]);
      for (const [x, y, v] of Object.values(picture.labels.points)) {
        const inside = x >= -0.5 && y >= -0.5 && x <= SIZE - 0.5 && y <= SIZE - 0.5;
        expect(v === 0 || inside).toBe(true);
      }
      expect(Object.values(picture.labels.points).filter(([, , v]) => v === 2).length).toBeGreaterThan(5);
      expect(picture.labels.withersPx).toBeGreaterThan(60);
    }
  });

  it('have toes, withers and nose on the outline of the horse that is drawn', () => {
    let looked = 0;
    const check = (one: (typeof drawn)[number], name: PointName, share: number): void => {
      const [x, y, v] = one.picture.labels.points[name];
      if (v !== 2 || x < 8 || y < 8 || x > SIZE - 8 || y > SIZE - 8) return;
      looked++;
      const px = 1.5 + share * one.picture.labels.withersPx;
      expect(onOutline(one, [x, y], Math.ceil(px)), `${one.picture.labels.view} ${name}`).toBe(true);
    };
    for (const one of drawn) {
      const side = one.picture.labels.view === 'left' || one.picture.labels.view === 'right';
      for (const limb of LIMBS) check(one, HOOF[limb], 0.01);
      if (side) for (const name of ['withers', 'croup', 'muzzle'] as const) check(one, name, 0.015);
    }
    expect(looked).toBeGreaterThan(30);
  });

  it('tell left from right: it faces the way it should, and the near legs are seen more', () => {
    const seen = { near: 0, far: 0 };
    for (const { picture } of drawn) {
      const { view, points } = picture.labels;
      if (view !== 'left' && view !== 'right') continue;
      expect(points.withers[0] < points.croup[0]).toBe(view === 'left');
      for (const part of ['fore_knee', 'fore_fetlock', 'hind_hock', 'hind_fetlock'] as const) {
        const [near, far] = view === 'left' ? (['left', 'right'] as const) : (['right', 'left'] as const);
        seen.near += Number(points[`${near}_${part}`][2] === 2);
        seen.far += Number(points[`${far}_${part}`][2] === 2);
      }
    }
    expect(seen.near).toBeGreaterThan(seen.far);
  });

  it('have joints on the horse', () => {
    for (const one of drawn) {
      for (const limb of ['left_fore', 'right_fore', 'left_hind', 'right_hind'] as const) {
        const [x, y, v] = one.picture.labels.points[`${limb}_fetlock`];
        if (v === 2) expect(at(one, x, y)).toBe(1);
      }
    }
  });

  it('are the same again', async () => {
    const [first] = chosen;
    const shot = first?.shots[0];
    if (!first || !shot) throw new Error('nothing planned');
    const [[again]] = await draw(first.scene, shot);
    expect(again?.labels).toEqual(drawn[0]?.picture.labels);
  });
});
