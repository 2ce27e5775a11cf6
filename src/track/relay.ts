import { type Assignment, type JudgedFrame, LEVELS, namingCost } from './legNames.ts';

/**
 * At a walk a hoof that stands goes on standing, and its fellow lands a step ahead of it. Where one leg's hoof is said to
 * leave and the other's to stand on the same spot from that moment on, as if handed over in a relay, the names were
 * exchanged (an identity switch) as the swinging leg passed the standing one. A horse that steps on the spot does the
 * same in truth: so names are exchanged only where the network's names and the near hoof's place speak for it.
 */

/** Looked at on either side of the moment, s: about a third of a stance, in which a swinging hoof goes .3 H. */
const WINDOW_S = 0.13;
/** A standing hoof is seen within this of one place, and one that left is seen beyond `AWAY`, H. */
const SPOT = 0.04;
const AWAY = 0.09;
const LEAST_LOOKS = 2;

interface Place {
  readonly x: number;
  readonly y: number;
}

const HOOF = LEVELS - 1;
const apart = (a: Place, b: Place): number => Math.hypot(a.x - b.x, a.y - b.y);

/** Where each leg's hoof is seen, by frame. */
type Hooves = readonly [left: Place | null, right: Place | null];

const hoovesOf = (frame: JudgedFrame, takes: Assignment): Hooves => {
  const of = (leg: 0 | 1): Place | null =>
    frame.set[leg * LEVELS + HOOF] ?? frame.seen[takes[leg * LEVELS + HOOF] ?? -1] ?? null;
  return [of(0), of(1)];
};

/** The place at which the hoof stands in these looks, null where it moves or is hardly seen. */
function restOf(looks: readonly Place[]): Place | null {
  if (looks.length < LEAST_LOOKS) return null;
  const mid = (of: (p: Place) => number): number => {
    const sorted = looks.map(of).sort((a, b) => a - b);
    return sorted[sorted.length >> 1] ?? NaN;
  };
  const rest = { x: mid((p) => p.x), y: mid((p) => p.y) };
  const off = looks.filter((p) => apart(p, rest) > SPOT).length;
  return off <= 0.2 * looks.length ? rest : null;
}

/** Whether between the frames `i - 1` and `i` one leg hands its standing hoof to the other. */
function isRelay(timesS: readonly number[], hooves: readonly Hooves[], i: number): boolean {
  const atS = ((timesS[i - 1] ?? 0) + (timesS[i] ?? 0)) / 2;
  const looks = (leg: 0 | 1, step: 1 | -1): Place[] => {
    const found: Place[] = [];
    for (let k = step > 0 ? i : i - 1; Math.abs((timesS[k] ?? Infinity) - atS) <= WINDOW_S; k += step) {
      const place = hooves[k]?.[leg];
      if (place) found.push(place);
    }
    return found;
  };
  return ([0, 1] as const).some((from) => {
    const to = from === 0 ? 1 : 0;
    const [left, taken] = [restOf(looks(from, -1)), restOf(looks(to, 1))];
    if (!left || !taken || apart(left, taken) > SPOT) return false;
    const isGone = (rest: Place, others: readonly Place[]): boolean =>
      others.length > 0 && others.filter((p) => apart(p, rest) < AWAY).length <= 0.4 * others.length;
    return isGone(left, looks(from, 1)) && isGone(taken, looks(to, -1));
  });
}

/** Frames at which a relay ends: of a run of frames that all look like one, the middle. */
function relays(timesS: readonly number[], hooves: readonly Hooves[]): number[] {
  const found: number[] = [];
  let first: number | null = null;
  for (let i = 1; i <= timesS.length; i++) {
    const here = i < timesS.length && isRelay(timesS, hooves, i);
    if (here && first === null) first = i;
    if (!here && first !== null) {
      found.push((first + i - 1) >> 1);
      first = null;
    }
  }
  return found;
}

const other = (point: number): number => (point + LEVELS) % (2 * LEVELS);

/** Fetlocks and hooves of both legs exchanged, and knees too. */
const wholeLegs = (takes: Assignment): Assignment => takes.map((_, point) => takes[other(point)] ?? -1);
const belowTheKnee = (takes: Assignment): Assignment =>
  takes.map((_, point) => takes[point % LEVELS === 0 ? point : other(point)] ?? -1);

/** How far the knees stand from above their fetlocks, H. */
const bend = ({ seen }: JudgedFrame, takes: Assignment): number =>
  [0, LEVELS].reduce((sum, leg) => {
    const [knee, fetlock] = [seen[takes[leg] ?? -1], seen[takes[leg + 1] ?? -1]];
    return sum + (knee && fetlock ? Math.abs(knee.x - fetlock.x) : 0);
  }, 0);

/**
 * The assignment without relays: between one and the next every second stretch is exchanged, if that agrees better with
 * the network's names and the near hoof's place. Stretches with points set by hand stay.
 */
export function withoutRelays(
  frames: readonly JudgedFrame[],
  assignments: readonly Assignment[],
): readonly Assignment[] {
  const timesS = frames.map((f) => f.timeS);
  const found = relays(
    timesS,
    frames.map((frame, i) => hoovesOf(frame, assignments[i] ?? [])),
  );
  if (found.length === 0) return assignments;
  const bounds = [0, ...found, frames.length];
  const stretches = bounds.slice(1).map((end, n) => ({ first: bounds[n] ?? 0, end }));
  const gains = [0, 1].map((parity) =>
    stretches
      .filter((_, n) => n % 2 === parity)
      .reduce((sum, { first, end }) => sum + gainOf(frames, assignments, first, end), 0),
  ) as [number, number];
  const flipped = gains[0] >= gains[1] ? 0 : 1;
  if (!(gains[flipped] > 0)) return assignments;
  return stretches.flatMap(({ first, end }, n) => {
    const stretch = assignments.slice(first, end);
    if (n % 2 !== flipped) return stretch;
    const bends = (way: (takes: Assignment) => Assignment): number =>
      stretch.reduce((sum, takes, k) => sum + bend(frames[first + k] as JudgedFrame, way(takes)), 0);
    return stretch.map(bends(belowTheKnee) < bends(wholeLegs) ? belowTheKnee : wholeLegs);
  });
}

/** By how much the names of a stretch agree better once exchanged; not at all where a hand has set a point of it. */
function gainOf(
  frames: readonly JudgedFrame[],
  assignments: readonly Assignment[],
  first: number,
  end: number,
): number {
  let gain = 0;
  for (let i = first; i < end; i++) {
    const [frame, takes] = [frames[i] as JudgedFrame, assignments[i] ?? []];
    if (frame.set.some((set) => set !== null)) return -Infinity;
    const dtS = Math.min(0.1, frame.timeS - (frames[i - 1]?.timeS ?? frame.timeS));
    const isSwapped = takes[HOOF] === other(HOOF) || takes[other(HOOF)] === HOOF;
    gain += dtS * (namingCost(frame, isSwapped) - namingCost(frame, !isSwapped));
  }
  return gain;
}
