/**
 * The network output that comes with the real clips (*.keypoints.json: not truth) as a Track. Points are likelihood-
 * filtered, left and right put right by least jerkiness, single outliers dropped; nothing is smoothed. `hoof` there is
 * the middle of the hoof, not the toe; the camera stands still and every horse shows its left side.
 */
import { readFileSync } from 'node:fs';
import { POINT_NAMES, type PointName, type Side } from '../../src/points.ts';
import type { Track, TrackPoint } from '../../src/track/types.ts';

type Raw = readonly [x: number, y: number, likelihood: number];
export interface KeypointFile {
  readonly names: readonly string[];
  readonly fps: number;
  readonly frames: readonly (readonly Raw[])[];
}

const SINGLE: Readonly<Record<string, PointName>> = { Nostril: 'muzzle', Poll: 'poll', Withers: 'withers' };
const LEAST_LIKELIHOOD = 0.6;

const limbName = (side: Side, end: 'fore' | 'hind', part: string): string => {
  const Side = side === 'left' ? 'Left' : 'Right';
  if (part === 'top') return `${Side}${end === 'fore' ? 'Knee' : 'Hock'}`;
  return `${Side}${end === 'fore' ? 'Front' : 'Hind'}${part}`;
};
const PARTS = ['top', 'Fetlock', 'Hoof'] as const;
const ourName = (side: Side, end: 'fore' | 'hind', part: (typeof PARTS)[number]): PointName => {
  const last = part === 'top' ? (end === 'fore' ? 'knee' : 'hock') : part.toLowerCase();
  return `${side}_${end}_${last}` as PointName;
};

interface Dot {
  readonly x: number;
  readonly y: number;
  readonly score: number;
}
type Leg = readonly (Dot | null)[];

export function readKeypoints(path: string): KeypointFile {
  return JSON.parse(readFileSync(path, 'utf8')) as KeypointFile;
}

export function trackOfKeypoints(file: KeypointFile, widthPx = 2208, heightPx = 1242): Track {
  const series = (name: string): (Dot | null)[] => {
    const k = file.names.indexOf(name);
    return file.frames.map((frame) => {
      const p = frame[k];
      return p && p[2] > LEAST_LIKELIHOOD ? { x: p[0], y: p[1], score: p[2] } : null;
    });
  };
  const found = new Map<PointName, (Dot | null)[]>();
  for (const [theirs, ours] of Object.entries(SINGLE)) found.set(ours, series(theirs));
  const height = pictureHeight(series('Withers'), [series('LeftFrontHoof'), series('RightFrontHoof')]);
  for (const end of ['fore', 'hind'] as const) {
    const legs = (side: Side): Leg[] => PARTS.map((part) => series(limbName(side, end, part)));
    const [left, right] = unswapped(legs('left'), legs('right'), height);
    PARTS.forEach((part, k) => {
      found.set(ourName('left', end, part), withoutOutliers(left[k] ?? [], height));
      found.set(ourName('right', end, part), withoutOutliers(right[k] ?? [], height));
    });
  }
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => [
      name,
      (found.get(name) ?? file.frames.map(() => null)).map(
        (d): TrackPoint | null =>
          d && { ...d, vx: 0, vy: 0, sdPx: (0.005 + 0.02 * (1 - d.score)) * height, source: 'network' },
      ),
    ]),
  ) as unknown as Track['points'];
  return {
    timesS: file.frames.map((_, i) => i / file.fps),
    points,
    toStill: file.frames.map(() => ({ a: 1, b: 0, tx: 0, ty: 0 })),
    seenSide: file.frames.map(() => 'left' as const),
    pictureWidthPx: widthPx,
    pictureHeightPx: heightPx,
    groundSdPx: 0,
    swapsRepaired: 0,
  };
}

function pictureHeight(withers: Leg, hooves: readonly Leg[]): number {
  const heights = withers.flatMap((w, i) => {
    const ys = hooves.flatMap((h) => h[i]?.y ?? []);
    return w && ys.length > 0 ? [Math.max(...ys) - w.y] : [];
  });
  return heights.sort((a, b) => a - b)[Math.floor(heights.length / 2)] ?? 600;
}

/** Frame by frame: which of two legs is which, so that the sum of accelerations of all their points is least. */
function unswapped(left: readonly Leg[], right: readonly Leg[], height: number): [Leg[], Leg[]] {
  const count = left[0]?.length ?? 0;
  const at = (leg: 'l' | 'r', part: number, i: number, swap: number): Dot | null =>
    ((leg === 'l') === (swap === 0) ? left : right)[part]?.[i] ?? null;
  const jerk = (i: number, s0: number, s1: number, s2: number): number => {
    let cost = 0.02 * s2;
    for (const leg of ['l', 'r'] as const) {
      for (let part = 0; part < PARTS.length; part++) {
        const [a, b, c] = [at(leg, part, i - 2, s0), at(leg, part, i - 1, s1), at(leg, part, i, s2)];
        if (a && b && c) cost += Math.min(0.5, Math.hypot(a.x - 2 * b.x + c.x, a.y - 2 * b.y + c.y) / height);
        else if (b && c) cost += Math.min(0.25, (0.5 * Math.hypot(c.x - b.x, c.y - b.y)) / height);
      }
    }
    return cost;
  };
  // Viterbi over (state of the frame before, state of this frame).
  let costs = [0, 0.01, 0.01, 0.02];
  const from: number[][] = [];
  for (let i = 2; i < count; i++) {
    const next = [0, 1, 2, 3].map((pair) => {
      const [s1, s2] = [pair >> 1, pair & 1];
      const options = [0, 1].map((s0) => (costs[s0 * 2 + s1] ?? 0) + jerk(i, s0, s1, s2));
      return (options[0] ?? 0) <= (options[1] ?? 0)
        ? { cost: options[0] ?? 0, s0: 0 }
        : { cost: options[1] ?? 0, s0: 1 };
    });
    from.push(next.map((n) => n.s0));
    costs = next.map((n) => n.cost);
  }
  const states = new Array<number>(count).fill(0);
  let pair = costs.indexOf(Math.min(...costs));
  for (let i = count - 1; i >= 1; i--) {
    states[i] = pair & 1;
    states[i - 1] = pair >> 1;
    const s0 = from[i - 2]?.[pair];
    if (s0 !== undefined) pair = s0 * 2 + (pair >> 1);
  }
  const legs = (leg: 'l' | 'r'): Leg[] => PARTS.map((_, part) => states.map((s, i) => at(leg, part, i, s)));
  return [legs('l'), legs('r')];
}

/** A point far from where the frames on both sides put it is no point. */
function withoutOutliers(series: Leg, height: number): (Dot | null)[] {
  return series.map((p, i) => {
    const a = series[i - 1];
    const b = series[i + 1];
    if (!p || !a || !b) return p;
    return Math.hypot(p.x - (a.x + b.x) / 2, p.y - (a.y + b.y) / 2) > 0.16 * height ? null : p;
  });
}
