/** The figures of `npm run network`, on points whose errors are known. */
import { describe, expect, it } from 'vitest';
import type { PointName } from '../../src/points.ts';
import { errorRows, shareRow } from './evaluation/bars.ts';
import type { WalkClip } from './evaluation/data.ts';
import {
  exchanged,
  heightPx,
  medianFigure,
  onOtherLimb,
  pointErrors,
  shareFigure,
  wilson,
  type Label,
  type Labels,
} from './evaluation/errors.ts';
import { groupOf } from '../../src/pose/reliability.ts';
import { cleaned, shifted, shifts, standing } from './evaluation/walk.ts';

/** A horse of 200 px that faces left; the far legs stand 40 px behind the near ones. */
const HORSE: Labels = {
  withers: [300, 100, 2],
  poll: [180, 60, 2],
  muzzle: [150, 140, 1],
  left_fore_knee: [260, 230, 2],
  left_fore_fetlock: [260, 270, 2],
  left_fore_hoof: [250, 300, 2],
  right_fore_knee: [300, 225, 2],
  right_fore_fetlock: [300, 265, 2],
  right_fore_hoof: [290, 295, 1],
  left_hind_hock: [430, 220, 2],
  left_hind_fetlock: [425, 270, 2],
  left_hind_hoof: [415, 298, 0],
};
type At = { x: number; y: number; score: number };
const found = (
  labels: Labels,
  move: (name: PointName, at: Label) => readonly [number, number] = () => [0, 0],
) =>
  Object.fromEntries(
    (Object.entries(labels) as [PointName, Label][]).map(([name, at]) => {
      const [dx, dy] = move(name, at);
      return [name, { x: at[0] + dx, y: at[1] + dy, score: 0.9 }];
    }),
  ) as Partial<Record<PointName, At>>;

describe('errors of points', () => {
  it('are told in per cent of the height from the withers to the lowest hoof', () => {
    expect(heightPx(HORSE)).toBe(200);
    expect(heightPx({ withers: [0, 0, 2] })).toBeNull();
    expect(heightPx({ left_fore_hoof: [0, 9, 2] })).toBeNull();
    const errors = pointErrors(
      HORSE,
      found(HORSE, () => [3, 4]),
      200,
      'a',
    );
    // A point labelled outside the picture counts for nothing.
    expect(errors).toHaveLength(Object.keys(HORSE).length - 1);
    for (const { percentH } of errors) expect(percentH).toBeCloseTo(2.5, 12);
    expect(errors.find(({ name }) => name === 'muzzle')?.seen).toBe(false);
  });

  it('count a point that was not found as far off', () => {
    const [error] = pointErrors({ poll: [180, 60, 2] }, {}, 200, 'a');
    expect(error).toMatchObject({ percentH: 100, score: 0 });
  });

  it('fall into groups', () => {
    expect(
      (['left_hind_hoof', 'poll', 'withers', 'point_of_elbow', 'right_hind_hock'] as const).map(groupOf),
    ).toEqual([...['toes', 'head', 'trunk', 'trunk', 'hocks']]);
  });
});

describe('sides', () => {
  const swapped = (names: RegExp) => {
    const own = found(HORSE);
    const other = (name: string): PointName =>
      name.replace(/left|right/, (s) => (s === 'left' ? 'right' : 'left')) as PointName;
    return Object.fromEntries(
      Object.entries(own).map(([name, at]) => [name, names.test(name) ? (own[other(name)] ?? at) : at]),
    );
  };

  it('are exchanged where the points of a pair lie nearer to the other names', () => {
    expect(exchanged(HORSE, found(HORSE), 200)).toBe(false);
    expect(exchanged(HORSE, swapped(/_fore_/), 200)).toBe(true);
    // One level alone is a wrong point, not another leg.
    expect(exchanged(HORSE, swapped(/_fore_knee/), 200)).toBe(false);
  });

  it("can't be told of legs that stand together", () => {
    const together = { ...HORSE };
    for (const name of ['knee', 'fetlock', 'hoof'] as const) {
      const [x, y] = HORSE[`left_fore_${name}`] ?? [0, 0];
      together[`right_fore_${name}`] = [x + 8, y, 2];
    }
    expect(exchanged(together, found(together), 200)).toBeNull();
    expect(onOtherLimb(together, found(together), 200, 'left_fore_hoof')).toBeNull();
  });

  it('are told point by point where both legs are seen on one', () => {
    const both = found(HORSE, (name) => (name.startsWith('left_fore') ? [40, -5] : [0, 0]));
    expect(exchanged(HORSE, both, 200)).toBe(false);
    expect(onOtherLimb(HORSE, both, 200, 'left_fore_hoof')).toBe(true);
    expect(onOtherLimb(HORSE, both, 200, 'right_fore_hoof')).toBe(false);
    expect(onOtherLimb(HORSE, both, 200, 'left_hind_hoof')).toBeNull();
    const between = (px: number) => found(HORSE, (name) => (name === 'left_fore_knee' ? [px, 0] : [0, 0]));
    expect(onOtherLimb(HORSE, between(32), 200, 'left_fore_knee')).toBe(true);
    expect(onOtherLimb(HORSE, between(24), 200, 'left_fore_knee')).toBe(false);
  });
});

describe('figures', () => {
  it('a worked example: errors 1, 2, 3 and 10 % of three horses', () => {
    const samples = [1, 2, 3, 10].map((value, i) => ({ value, horse: `h${i % 3}` }));
    expect(medianFigure(samples)).toMatchObject({ value: 2.5, n: 4, horses: 3 });
    const within = shareFigure(samples, (e) => e <= 2);
    expect(within?.value).toBe(50);
    expect(within?.low).toBeLessThan(20);
    expect(within?.high).toBeGreaterThan(80);
    expect(medianFigure([])).toBeNull();
    expect(shareFigure([{ value: 1, horse: 'a' }], () => true)).toMatchObject({ value: 100, low: null });
  });

  it("Wilson's interval of 81 in 263 and 15 in 148 (Newcombe 1998 Stat Med 17:857, table I, from memory)", () => {
    expect(wilson(81 / 263, 263).map((x) => Number(x.toFixed(4)))).toEqual([0.2553, 0.3662]);
    expect(wilson(15 / 148, 148).map((x) => Number(x.toFixed(4)))).toEqual([0.0624, 0.1605]);
  });

  it('is never narrower than that, though all horses agree', () => {
    const samples = Array.from({ length: 10 }, (_, i) => ({ value: 1, horse: `h${i}` }));
    expect(shareFigure(samples, (e) => e <= 2)?.low).toBeCloseTo(72.2, 1);
  });

  it('bars are met or missed, the inferred points told apart', () => {
    const errors = pointErrors(
      HORSE,
      found(HORSE, (name) => [name === 'right_fore_hoof' ? 8 : 2, 0]),
      200,
      'a',
    );
    const [met] = errorRows('set', errors, [{ of: 'toes', within: 5, atLeast: 100 }]);
    expect(met?.met).toBe(true);
    const [first, second] = errorRows('set', errors, [
      { of: 'toes', within: 2, atLeast: 80 },
      { of: 'toes', atMost: 3 },
    ]);
    expect(first).toMatchObject({ met: false, found: { value: 50, n: 2 }, seen: { value: 100, n: 1 } });
    expect(second).toMatchObject({ met: true, found: { value: 2.5 } });
    const share = shareRow('set', 'frames', 'x', [{ holds: true, horse: 'a' }], { atMost: 2 });
    expect([share.met, shareRow('set', 'frames', 'x', [], { atMost: 2 }).met]).toEqual([false, null]);
  });
});

describe("the walk's own points", () => {
  const FPS = 15;
  /** A horse of 500 px that goes left at 30 px a frame, whose legs stand where they are. */
  function clip(change: (points: Record<string, Label>, i: number) => void = () => undefined): WalkClip {
    const frames = Array.from({ length: 9 }, (_, i) => {
      const points: Record<string, Label> = {
        withers: [900 - 30 * i, 200, 1],
        left_fore_knee: [800, 520, 1],
        left_fore_fetlock: [800, 620, 1],
        left_fore_hoof: [790, 700, 1],
        right_fore_knee: [700, 520, 1],
        right_fore_fetlock: [700, 620, 1],
        right_fore_hoof: [690, 690, 1],
      };
      change(points, i);
      return { path: `f${i}`, timeS: i / FPS, origin: [0, 0] as const, scale: 1, points };
    });
    return { clip: 'c', horse: 'h', frames };
  }
  const names = (one: WalkClip, i: number): string[] => Object.keys(cleaned(one)[i] ?? {});

  it('are all kept where nothing is odd, but for the ends', () => {
    expect(names(clip(), 4)).toHaveLength(7);
    expect(names(clip(), 0)).toHaveLength(0);
  });

  it('are left out where unsure, out of place for a frame, or too far from their limb', () => {
    const unsure = clip((points, i) => i === 4 && (points['withers'] = [780, 200, 0.5]));
    expect(names(unsure, 4)).not.toContain('withers');
    const jump = clip((points, i) => i === 4 && (points['withers'] = [810, 200, 1]));
    expect(names(jump, 4)).not.toContain('withers');
    const long = clip((points, i) => i > 2 && i < 6 && (points['left_fore_hoof'] = [790, 760, 1]));
    expect(names(long, 4)).not.toContain('left_fore_hoof');
    expect(names(long, 4)).toContain('right_fore_hoof');
  });

  it('are left out of both legs where their names jump', () => {
    const jump = clip((points, i) => {
      if (i < 4) return;
      for (const name of ['knee', 'fetlock', 'hoof'])
        [points[`left_fore_${name}`], points[`right_fore_${name}`]] = [
          points[`right_fore_${name}`] as Label,
          points[`left_fore_${name}`] as Label,
        ];
    });
    expect(names(jump, 4).filter((n) => n.includes('fore'))).toEqual([]);
    expect(names(jump, 6).filter((n) => n.includes('fore'))).toHaveLength(6);
  });

  it('are shifted by what hand labels of other frames lie from them', () => {
    const typed = {
      ...{ path: 'f4', horse: 'h', part: 'train' as const, view: 'left', views: ['left'], walking: true },
      labels: { left_fore_hoof: [770, 710, 2] as const, withers: [790, 195, 1] as const },
    };
    const by = shifts([typed], [clip()]);
    expect(by.left_fore_hoof).toEqual([-20 / 500, 10 / 500]);
    expect(by.withers).toEqual([10 / 500, -5 / 500]);
    expect(shifted({ left_fore_hoof: [100, 100, 1], poll: [0, 0, 1] }, by, 250)).toEqual({
      left_fore_hoof: [90, 105, 2],
    });
  });

  it('tell which hooves stand', () => {
    const swings = clip((points, i) => (points['right_fore_hoof'] = [690 - 40 * i, 690, 1]));
    expect(standing(swings)[4]).toEqual(['left_fore_hoof']);
  });
});
