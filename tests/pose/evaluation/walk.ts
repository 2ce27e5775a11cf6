/**
 * The points that come with the video frames of walking horses, made fit to be compared with: another network's output
 * under other definitions, so a second opinion and no truth. Px of the source picture; every horse shows its left side.
 */
import { FETLOCK, HOOF, KNEE_OR_HOCK, LIMBS, POINT_NAMES, type PointName } from '../../../src/points.ts';
import type { HandPicture, WalkClip, WalkFrame } from './data.ts';
import { heightPx, median, type Label, type Labels } from './errors.ts';

/** Points less sure than this are not used: its authors' own bound for a point (README of the data). */
const LEAST_LIKELIHOOD = 0.6;
/** Share of the usual by which a limb's segment may be longer or shorter: it turns towards the camera, its joints blur. */
const SEGMENT_MARGIN = 0.3;
/** Farthest from half way between its place in the frame before and after, share of H; 1/15 s between frames. */
const JUMP = { limb: 0.12, body: 0.04 };
/** Left and right have jumped where the exchanged names are so much the nearer continuation. */
const CROSSED = 0.6;

type Points = Readonly<Partial<Record<PointName, Label>>>;
const apart = (a: Label, b: Label): number => Math.hypot(a[0] - b[0], a[1] - b[1]);
const isOfLimb = (name: PointName): boolean => /^(left|right)_(fore|hind)/.test(name);

/** Heights at the withers along a clip, px: the median of what is sure in so many frames around each. */
const HEIGHT_FRAMES = 6;
export function heightsPx(clip: WalkClip): number[] {
  const single = clip.frames.map(({ points }) => heightPx(sure(points)));
  return single.map((_, i) =>
    median(single.slice(Math.max(0, i - HEIGHT_FRAMES), i + HEIGHT_FRAMES + 1).filter((h) => h !== null)),
  );
}

const keep = (points: Points, wanted: (name: PointName, at: Label) => boolean): Points =>
  Object.fromEntries((Object.entries(points) as [PointName, Label][]).filter(([n, p]) => wanted(n, p)));
const sure = (points: Points): Points => keep(points, (_, at) => at[2] > LEAST_LIKELIHOOD);

const SEGMENTS = LIMBS.flatMap((limb) => [
  [KNEE_OR_HOCK[limb], FETLOCK[limb]] as const,
  [FETLOCK[limb], HOOF[limb]] as const,
]);

/** Names of points at the ends of a segment that is not as long as it usually is in this clip. */
function oddSegments(points: Points, usual: readonly number[]): PointName[] {
  return SEGMENTS.flatMap(([upper, lower], i) => {
    const [a, b, length] = [points[upper], points[lower], usual[i]];
    if (!a || !b || length === undefined) return [];
    return Math.abs(apart(a, b) / length - 1) > SEGMENT_MARGIN ? [upper, lower] : [];
  });
}

function usualLengths(frames: readonly Points[]): number[] {
  return SEGMENTS.map(([upper, lower]) =>
    median(
      frames.flatMap((points) => {
        const [a, b] = [points[upper], points[lower]];
        return a && b ? [apart(a, b)] : [];
      }),
    ),
  );
}

const PAIRS = [
  [HOOF.LF, HOOF.RF],
  [HOOF.LH, HOOF.RH],
] as const;

/** Whether left and right have changed places since the frame before: as models/training/pack.py tells it. */
function crossed(before: Points, now: Points): boolean {
  return PAIRS.some(([left, right]) => {
    const [a, b, c, d] = [before[left], before[right], now[left], now[right]];
    if (!a || !b || !c || !d) return false;
    return apart(a, d) + apart(b, c) < CROSSED * (apart(a, c) + apart(b, d));
  });
}

/** What is left of a clip's own points: sure, steady from frame to frame, limbs as long as usual, not exchanged. */
export function cleaned(clip: WalkClip): Points[] {
  const tallPx = heightsPx(clip);
  const all = clip.frames.map(({ points }) => sure(points));
  const usual = usualLengths(all);
  const follows = (i: number): boolean =>
    (clip.frames[i]?.timeS ?? 0) - (clip.frames[i - 1]?.timeS ?? 0) < 2.5 / 15;
  const jumped = all.map((points, i) => i > 0 && follows(i) && crossed(all[i - 1] ?? {}, points));
  return all.map((points, i) => {
    const odd = new Set(oddSegments(points, usual));
    const [before, after] = [all[i - 1], all[i + 1]];
    const exchanged = jumped[i] === true || jumped[i + 1] === true;
    return keep(points, (name, at) => {
      if (isOfLimb(name) && (odd.has(name) || exchanged)) return false;
      const [a, b] = [before?.[name], after?.[name]];
      if (!a || !b) return false;
      const half: Label = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, 1];
      return apart(at, half) < (isOfLimb(name) ? JUMP.limb : JUMP.body) * (tallPx[i] ?? 0);
    });
  });
}

/** Where the labels of hand lie from theirs, median, share of H, x and y of a horse that faces left. */
export type Shifts = Readonly<Partial<Record<PointName, readonly [number, number]>>>;

/**
 * Their definitions against ours: from the frames that have both, of horses that nothing else here is measured on.
 * What is left after the shift is their network's error and the hand's.
 */
export function shifts(hand: readonly HandPicture[], clips: readonly WalkClip[]): Shifts {
  const labels = new Map(hand.map((picture) => [picture.path, picture.labels]));
  const own: Partial<Record<PointName, [number, number][]>> = {};
  for (const clip of clips) {
    const [clean, heights] = [cleaned(clip), heightsPx(clip)];
    clip.frames.forEach((frame, i) => {
      const tallPx = heights[i] ?? NaN;
      const typed = labels.get(frame.path);
      for (const name of typed ? POINT_NAMES : []) {
        const [a, b] = [typed?.[name], clean[i]?.[name]];
        if (!a || !b) continue;
        const [x, y] = toSource(frame, a);
        (own[name] ??= []).push([(x - b[0]) / tallPx, (y - b[1]) / tallPx]);
      }
    });
  }
  const middle = (list: readonly (readonly [number, number])[]): [number, number] => [
    median(list.map(([x]) => x)),
    median(list.map(([, y]) => y)),
  ];
  return Object.fromEntries(Object.entries(own).map(([name, list]) => [name, middle(list)]));
}

export const toSource = (
  frame: WalkFrame,
  [x, y]: readonly [number, number, ...unknown[]],
): [number, number] => [x / frame.scale + frame.origin[0], y / frame.scale + frame.origin[1]];

/** Their points where our definitions have them; those of which no shift is known are left out. */
export function shifted(points: Points, by: Shifts, tallPx: number): Labels {
  return Object.fromEntries(
    (Object.entries(points) as [PointName, Label][]).flatMap(([name, [x, y]]) => {
      const shift = by[name];
      return shift ? [[name, [x + shift[0] * tallPx, y + shift[1] * tallPx, 2]]] : [];
    }),
  );
}

/** Less than this from the frame before to the one after is standing, share of H. */
const STANDS_H = 0.03;

/** Hooves that stand, frame by frame, by their own points. */
export function standing(clip: WalkClip): PointName[][] {
  const heights = heightsPx(clip);
  const all = clip.frames.map(({ points }) => sure(points));
  return all.map((_, i) =>
    Object.values(HOOF).filter((name) => {
      const [a, b] = [all[i - 1]?.[name], all[i + 1]?.[name]];
      return a && b && apart(a, b) < STANDS_H * (heights[i] ?? 0);
    }),
  );
}
