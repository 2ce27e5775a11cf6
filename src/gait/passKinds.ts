import type { Side } from '../points.ts';
import type { Track } from '../track/types.ts';
import { around, clipPath, slowedBy, wrapped, type ClipPath, type PathFrame } from './clipPath.ts';
import type { Span } from './series.ts';
import { findSidePasses } from './sidePasses.ts';
import { LEAST_TURN_RAD, turnsWithin } from './turns.ts';

export const PASS_KINDS = ['stand', 'away', 'turn', 'side', 'towards'] as const;
export type PassKind = (typeof PASS_KINDS)[number];

/** A part of a clip in which the horse stands, walks straight on, or turns. */
export interface ClipPass {
  readonly kind: PassKind;
  /** Times of its first and last frame. */
  readonly startS: number;
  readonly endS: number;
  /** Of a side pass: the way it goes in the picture. */
  readonly direction?: Side;
}

/** What a frame belongs to. */
type Label = 'stand' | 'away' | 'turn' | 'towards' | Side | null;

/** Half the window over which hooves and views are judged, s. */
const WINDOW_S = 0.5;
/** Share of looks at hooves that move: of a walk .25 - .45 in every second, of a horse that stands hardly any. */
const MOST_MOVING = 0.08;
/** The body of a horse that stands, heights a second; and along the line of sight, share of the distance a second. */
const STANDS_H = 0.15;
const STANDS_SHARE = 0.03;
const LEAST_STAND_S = 1;
/** The shortest pass of any other kind, s. */
export const LEAST_S = 0.6;
/** What the way says of the view against what the network says of a frame. */
const WAY_WEIGHT = 0.5;
/** The least change of the distance of a horse that walks away or back, heights a second: a slow walk at 45 degrees. */
const LEAST_AWAY_H = 0.2;
/** And of one that walks past, forward, over the ground: as MOVING_H_PER_S of sidePasses.ts. */
const LEAST_PAST_H = 0.1;
/** Between two walked passes the horse turns, if it was seen throughout, for no longer than this, s. */
const LONGEST_TURN_S = 6;
/** Ends of a side pass this near to each other are one, s. */
const SAME_END_S = 0.5;

const isSide = (label: Label | undefined): label is Side => label === 'left' || label === 'right';
const isWalked = (label: Label | undefined): boolean =>
  isSide(label) || label === 'away' || label === 'towards';

/** Runs of frames of one label. */
function runs(labels: readonly Label[]): { label: Label; first: number; last: number }[] {
  const found: { label: Label; first: number; last: number }[] = [];
  labels.forEach((label, i) => {
    const last = found[found.length - 1];
    if (last && last.label === label) last.last = i;
    else found.push({ label, first: i, last: i });
  });
  return found;
}

/** Whether the horse stands, by its body and hooves in the second about each frame; ends by the hooves alone. */
function standing({ timesS, frames }: ClipPath): boolean[] {
  const stands = frames.map(({ isSeen, speedH, awayH, distanceH }, i) => {
    if (!isSeen || speedH === null) return false;
    const along = Math.abs(awayH ?? 0);
    const across = Math.sqrt(Math.max(0, speedH ** 2 - along ** 2));
    if (across > STANDS_H || along > Math.max(STANDS_H, STANDS_SHARE * (distanceH ?? 0))) return false;
    const [from, to] = around(timesS, timesS[i] ?? 0, WINDOW_S);
    const [seen, moving] = frames
      .slice(from, to)
      .reduce(([s, m], { hooves }) => [s + hooves.seen, m + hooves.moving], [0, 0]);
    return moving <= MOST_MOVING * seen;
  });
  // The window takes in steps before and after: up to them no hoof moves.
  const out = [...stands];
  const spread = (i: number, step: 1 | -1): void => {
    const within = (k: number): boolean => Math.abs((timesS[k] ?? Infinity) - (timesS[i] ?? 0)) <= WINDOW_S;
    for (let k = i + step; within(k) && frames[k]?.isSeen && frames[k]?.hooves.moving === 0; k += step)
      out[k] = true;
  };
  stands.forEach((held, i) => {
    if (held && !stands[i - 1]) spread(i, -1);
    if (held && !stands[i + 1]) spread(i, 1);
  });
  return out;
}

const VIEWS = [
  ['away', 0],
  ['right', Math.PI / 2],
  ['towards', Math.PI],
  ['left', -Math.PI / 2],
] as const;

/** How the horse is seen about each frame: by the network's views, and by the way it goes. */
function steadyViews({ timesS, frames }: ClipPath, views: readonly string[]): Label[] {
  const scores = frames.map(({ aspectRad }, i) =>
    VIEWS.map(
      ([name, rad]) =>
        (views[i] === name ? 1 : 0) +
        (aspectRad === null ? 0 : WAY_WEIGHT * Math.max(0, Math.cos(aspectRad - rad))),
    ),
  );
  return timesS.map((timeS) => {
    const near = scores.slice(...around(timesS, timeS, WINDOW_S));
    const sums = VIEWS.map((_, k) => near.reduce((sum, list) => sum + (list[k] ?? 0), 0));
    const most = Math.max(...sums);
    return most > 0 ? (VIEWS[sums.indexOf(most)]?.[0] ?? null) : null;
  });
}

/** For each frame, whether it belongs to a turn. A turn may halt half-way: time stands still while the horse does. */
function turning({ timesS, frames }: ClipPath, stands: readonly Label[]): boolean[] {
  let now = 0;
  const walkedS = timesS.map((timeS, i) => {
    if (i > 0 && stands[i] === null) now += timeS - (timesS[i - 1] ?? timeS);
    return now;
  });
  const out = frames.map(() => false);
  for (const { label, first, last } of runs(frames.map(({ isSeen }): Label => (isSeen ? 'turn' : null)))) {
    if (label === null) continue;
    const part = frames.flatMap((_, i) => (i >= first && i <= last && stands[i] === null ? [i] : []));
    const turns = turnsWithin(
      part.map((i) => walkedS[i] ?? 0),
      part.flatMap((i) => frames[i] ?? []),
    );
    for (const i of part) {
      const at = walkedS[i] ?? 0;
      out[i] = turns.some(([fromS, toS]) => at >= fromS && at <= toS);
    }
  }
  return out;
}

/** How fast the horse goes the way that its side is seen to face, heights a second: the mean over some frames. */
function pastH(frames: readonly PathFrame[], side: Side): number {
  const right = frames.map(({ speedH, aspectRad }) => (speedH ?? 0) * Math.sin(aspectRad ?? 0));
  return ((side === 'right' ? 1 : -1) * right.reduce((s, v) => s + v, 0)) / frames.length;
}

/** Labels without the runs that are too short to be a pass, and without ways that lead elsewhere than the view says. */
function withoutShort(labels: readonly Label[], { timesS, frames }: ClipPath): Label[] {
  const out = [...labels];
  for (const { label, first, last } of runs(labels)) {
    const lasts = (timesS[last] ?? 0) - (timesS[first] ?? 0);
    const way = ((frames[last]?.distanceH ?? 0) - (frames[first]?.distanceH ?? 0)) / lasts;
    const isWrong =
      lasts < (label === 'stand' ? LEAST_STAND_S : LEAST_S) ||
      (label === 'away' && way < LEAST_AWAY_H) ||
      (label === 'towards' && way > -LEAST_AWAY_H) ||
      (isSide(label) && pastH(frames.slice(first, last + 1), label) < LEAST_PAST_H);
    if (isWrong) out.fill(null, first, last + 1);
  }
  return out;
}

/**
 * Between two walked passes whose ways differ it turns, though its way in between be unknown, as that of a horse that
 * turns on the spot.
 */
function withTurnsBetween(labels: readonly Label[], { timesS, frames }: ClipPath): Label[] {
  const out = [...labels];
  const list = runs(labels);
  list.forEach(({ label, first, last }, k) => {
    const [before, after] = [list[k - 1]?.label, list[k + 1]?.label];
    const isBetween = label === null && [before, after].every((one) => isWalked(one) || one === 'turn');
    const ways = [frames[first - 1], frames[last + 1]].map((frame) => frame?.headingRad ?? 0);
    const turned = Math.abs(wrapped((ways[1] ?? 0) - (ways[0] ?? 0)));
    const isSeen = frames.slice(first, last + 1).every((frame) => frame.isSeen);
    const lasts = (timesS[last] ?? 0) - (timesS[first] ?? 0);
    if (isBetween && isSeen && turned >= LEAST_TURN_RAD && lasts <= LONGEST_TURN_S)
      out.fill('turn', first, last + 1);
  });
  return out;
}

/** A turn that is beside no walked pass is nothing of which anything can be said. */
function withoutLoneTurns(labels: readonly Label[]): Label[] {
  const out = [...labels];
  const list = runs(labels);
  list.forEach(({ label, first, last }, k) => {
    if (label === 'turn' && !isWalked(list[k - 1]?.label) && !isWalked(list[k + 1]?.label))
      out.fill(null, first, last + 1);
  });
  return out;
}

/**
 * Side passes end where findSidePasses ends them. Where it ends one much earlier, as the way gets too oblique to be
 * measured, the pass goes on as long as the whole horse is seen from the side.
 */
function asFound(labels: readonly Label[], { timesS, frames }: ClipPath, sides: readonly Span[]): Label[] {
  const out = [...labels];
  const at = (i: number): number => timesS[i] ?? 0;
  for (const { label, first, last } of runs(labels)) {
    const same = sides.filter((s) => s.direction === label && s.startS < at(last) && s.endS > at(first));
    const isIn = (i: number): boolean => same.some((s) => at(i) >= s.startS && at(i) <= s.endS);
    const startS = Math.min(...same.map((s) => s.startS), at(last));
    const endS = Math.max(...same.map((s) => s.endS), at(first));
    for (let i = first; i <= last && isSide(label); i++) {
      const isMuchLater = at(i) > endS && at(last) - endS > SAME_END_S;
      const isMuchEarlier = at(i) < startS && startS - at(first) > SAME_END_S;
      const isBeyond = same.length === 0 || isMuchLater || isMuchEarlier || (at(i) > startS && at(i) < endS);
      if (!isIn(i) && !(isBeyond && frames[i]?.isWhole)) out[i] = null;
    }
  }
  return out;
}

function labelsOf(path: ClipPath, views: readonly string[], sides: readonly Span[]): Label[] {
  const { timesS, frames } = path;
  const stands = withoutShort(
    standing(path).map((held): Label => (held ? 'stand' : null)),
    path,
  );
  const seen = steadyViews(path, views);
  const turns = turning(path, stands);
  const walked = stands.map((label, i): Label => {
    const t = timesS[i] ?? 0;
    if (label !== null || !frames[i]?.isSeen) return label;
    if (turns[i]) return 'turn';
    const view = seen[i] ?? null;
    if (view === 'away' || view === 'towards') return frames[i]?.isWhole ? view : null;
    return sides.find(({ startS, endS }) => t >= startS && t <= endS)?.direction ?? view;
  });
  const kept = withoutShort(asFound(walked, path, sides), path);
  return withoutLoneTurns(withTurnsBetween(kept, path));
}

/** The same at another pace: every time divided by `by`. */
const fasterTrack = (track: Track, by: number): Track => ({
  ...track,
  timesS: track.timesS.map((timeS) => timeS / by),
});

/**
 * The passes of a clip of a horse led in hand: where it stands, walks away from the camera, past it or towards it, and
 * turns between these. `views`: how each frame of the track shows the horse ('left', 'right', 'away', 'towards',
 * 'none'), as the network says; single ones may be wrong. In order of time, not overlapping; where no horse is seen, or
 * nothing can be said, there is no pass. Side passes are those of findSidePasses (`spans`), less what is turn.
 */
export function findPasses(
  track: Track,
  views: readonly string[],
  spans: readonly Span[] = findSidePasses(track),
): ClipPass[] {
  // Speeds of a clip played slowly are noisier at first: the second look takes more of it at once.
  const asPlayed = clipPath(track);
  const first = slowedBy(asPlayed);
  const by = first * (first > 1 ? slowedBy(clipPath(fasterTrack(track, first))) : 1);
  const sides = spans.map((s) => ({ ...s, startS: s.startS / by, endS: s.endS / by }));
  const labels = labelsOf(by === 1 ? asPlayed : clipPath(fasterTrack(track, by)), views, sides);
  return runs(labels).flatMap(({ label, first, last }): ClipPass[] => {
    if (label === null) return [];
    const span = { startS: track.timesS[first] ?? 0, endS: track.timesS[last] ?? 0 };
    return isSide(label) ? [{ kind: 'side', ...span, direction: label }] : [{ kind: label, ...span }];
  });
}
