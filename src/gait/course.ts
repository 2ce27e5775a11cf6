/** The whole course of a clip: every pass by its kind, with its measures; found, or as set by hand. */
import type { Side } from '../points.ts';
import type { Track } from '../track/types.ts';
import { analyseSides, checked } from './analyse.ts';
import { spansSet } from './givenPasses.ts';
import { analyseLinePass } from './linePass.ts';
import { findPasses, LEAST_S, type ClipPass } from './passKinds.ts';
import { findSidePasses, movingSpans } from './sidePasses.ts';
import type { GaitOptions, GivenPasses, LinePass, SidePass } from './types.ts';

interface Borders {
  readonly startS: number;
  readonly endS: number;
}

/**
 * A pass of a clip and what was measured of it. Borders are those of its kind. `pass` has the times of what was measured:
 * of a side pass they may reach a little into the turns beside it, or end earlier, where the way gets too oblique. Null: a
 * walk past of which nothing can be measured.
 */
export type CoursePass = Borders &
  (
    | { readonly kind: 'stand' | 'turn' }
    | { readonly kind: 'side'; readonly direction: Side; readonly pass: SidePass | null }
    | { readonly kind: 'away' | 'towards'; readonly pass: LinePass }
  );
type CourseSide = Extract<CoursePass, { kind: 'side' }>;

export interface Course {
  /** In order of time, not overlapping. */
  readonly course: readonly CoursePass[];
  /** The side passes among them that were measured. */
  readonly passes: readonly SidePass[];
}

const lasts = ({ startS, endS }: Borders): number => endS - startS;
const overlap = (a: Borders, b: Borders): number => Math.min(a.endS, b.endS) - Math.max(a.startS, b.startS);
const byTime = (a: Borders, b: Borders): number => a.startS - b.startS;

/**
 * `views`: how each frame of the track shows the horse, as for findPasses. `set`: passes set by hand, which count instead of
 * those found.
 */
export function analyseCourse(
  track: Track,
  views: readonly string[],
  options: GaitOptions,
  set?: GivenPasses,
): Course {
  const spans = findSidePasses(track);
  const sides = analyseSides(track, spans, options);
  const found = withSides(findPasses(track, views, spans), sides);
  const byHand = set && spansSet(set);
  const entries: readonly Entry[] =
    byHand?.map((one): Entry => (one.kind === 'side' ? sideSet(track, one, found, options) : one)) ?? found;
  const passes = byHand ? entries.flatMap((one) => one.pass ?? []) : sides;
  const height = heightOf(passes, checked(options));
  return { course: entries.map((one) => measured(track, one, height)), passes };
}

/** A side pass with its measures, and any other pass without. */
type Entry = (ClipPass & { readonly pass?: undefined }) | CourseSide;

type Height = Pick<GaitOptions, 'withersM' | 'withersSdM'>;

/** The height that ways away and back are measured with: of a known distance on the ground only a side pass tells it. */
export const heightOf = (passes: readonly SidePass[], typed: Height): Height =>
  passes.find((pass) => pass.withersM !== null) ?? typed;

function measured(track: Track, entry: Entry, { withersM, withersSdM }: Height): CoursePass {
  const { kind, startS, endS } = entry;
  if (kind === 'side')
    return entry.pass ? entry : { kind, startS, endS, direction: entry.direction ?? 'left', pass: null };
  if (kind === 'stand' || kind === 'turn') return { kind, startS, endS };
  return { kind, startS, endS, pass: analyseLinePass(track, { kind, startS, endS }, withersM, withersSdM) };
}

const courseSide = (pass: SidePass, { startS, endS }: Borders): CourseSide => ({
  ...{ kind: 'side', direction: pass.direction, startS, endS, pass },
});

/** What is left of a pass beside others, if it is no less than a pass can be. */
const beside = (one: ClipPass, others: readonly Borders[]): ClipPass[] =>
  others
    .reduce<ClipPass[]>(
      (parts, other) =>
        parts.flatMap((part) =>
          overlap(part, other) <= 0
            ? [part]
            : [
                { ...part, endS: other.startS },
                { ...part, startS: other.endS },
              ].filter((left) => lasts(left) > 0),
        ),
      [one],
    )
    .filter((part) => part === one || lasts(part) >= LEAST_S);

/** The side pass by its kind that shares most time with one that was measured, or set. */
function homeOf<E extends Entry>(
  of: Borders & { readonly direction: Side },
  found: readonly E[],
): E | undefined {
  return found
    .filter((one) => one.kind === 'side' && one.direction === of.direction && overlap(one, of) > 0)
    .sort((a, b) => overlap(b, of) - overlap(a, of))[0];
}

/**
 * Passes found by kind, with the side passes that were measured. All of these count: others give way to one where the kind
 * found is another, and two of one kind share its time.
 */
function withSides(found: readonly ClipPass[], sides: readonly SidePass[]): Entry[] {
  const alone = sides.filter((pass) => !homeOf(pass, found));
  const rest = found.flatMap((one) => beside(one, alone));
  const homes = sides.map((pass) => homeOf(pass, rest));
  const entries = rest.flatMap((one): Entry[] => {
    const own = sides.filter((_, k) => homes[k] === one);
    const last = own.length - 1;
    if (last < 0) return [one];
    return own.map((pass, k) =>
      courseSide(pass, {
        startS: k === 0 ? one.startS : pass.startS,
        endS: k === last ? one.endS : pass.endS,
      }),
    );
  });
  const homeless = sides.flatMap((pass, k) => (homes[k] ? [] : [courseSide(pass, pass)]));
  return [...entries, ...homeless].sort(byTime);
}

/** The side that most frames of a span show. */
function sideSeen({ timesS, seenSide }: Track, { startS, endS }: Borders): Side {
  const shown = seenSide.filter((_, i) => (timesS[i] ?? -1) >= startS && (timesS[i] ?? -1) <= endS);
  const of = (side: Side): number => shown.filter((one) => one === side).length;
  return of('right') > of('left') ? 'right' : 'left';
}

/** Borders that differ by less were not moved, in frames: a point put right by hand may move a border that was found by as much. */
const SAME_FRAMES = 2;

const sameS = ({ timesS }: Track): number =>
  (SAME_FRAMES * ((timesS.at(-1) ?? 0) - (timesS[0] ?? 0))) / Math.max(1, timesS.length - 1) + 1e-3;

/**
 * A side pass set by hand is measured where it is straight and the horse is seen throughout, as one that was found; where
 * it is nowhere, nothing is. Borders that were not moved stand for what was measured up to them, so that a pass that was
 * left alone keeps its numbers, or has none still.
 */
function sideSet(track: Track, set: ClipPass, found: readonly Entry[], options: GaitOptions): Entry {
  const direction = set.direction ?? sideSeen(track, set);
  const entry = (pass: SidePass | undefined): Entry =>
    pass ? courseSide(pass, set) : { ...set, kind: 'side', direction };
  const home = homeOf({ ...set, direction }, found);
  const isSame = (name: keyof Borders): boolean =>
    home !== undefined && Math.abs(home[name] - set[name]) <= sameS(track);
  if (home && isSame('startS') && isSame('endS')) return entry(home.pass ?? undefined);
  const border = (name: keyof Borders): number => (isSame(name) && home?.pass ? home.pass : set)[name];
  const [span] = movingSpans(track, [border('startS'), border('endS')], direction).sort(
    (a, b) => lasts(b) - lasts(a),
  );
  return entry(span && analyseSides(track, [span], options)[0]);
}
