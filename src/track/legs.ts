import {
  type Assignment,
  judged,
  type JudgedFrame,
  LEVELS,
  nameCost,
  placeCost,
  type PairFrame,
} from './legNames.ts';
import { begin, expectation, type Look, type PointState, updated } from './legTracker.ts';
import { withoutRelays } from './relay.ts';

/**
 * Which leg is which. A network that sees a horse from the side mixes left and right up, most of all below the knee
 * and hock, and gives one leg twice. Legs don't jump: the names are put right by the smoothest continuation of
 * both legs of a pair, over all ways to swap them frame by frame (a Viterbi search in which each survivor keeps the
 * filter of its own past).
 */

/** Acceleration densities by level, H^2/s^3. */
const DENSITY = [15, 30, 40] as const;
/** A change of names, and knee and hoof that don't belong to one leg. */
const CHANGE_COST = 1.5;
const SPLIT_COST = 1.5;
/** Chance that a look is of something else, spread over about one H^2. */
const ASTRAY = 0.05;
/** Both legs at one place: common for a network that sees one leg twice, rare in truth. */
const TWICE_NEAR = 0.03;
const TWICE_COST = 3.5;
const SAME = 0.006;
const SAME_COST = 6;
/** A point not seen for this long may be anywhere. */
const FORGET_S = 0.3;
/** Survivors worse than the best by more than this are given up. */
const GIVE_UP = 18;

/** Bit 0: knee or hock swapped, bit 1: fetlock and hoof swapped. */
const OPTIONS = [0, 1, 2, 3] as const;
const swapsLevel = (option: number, level: number): boolean => (level === 0 ? option & 1 : option & 2) !== 0;

/** The look that has this point's name, once names are exchanged as the option says. */
function ownLook(option: number, point: number): number {
  const k = point % LEVELS;
  return swapsLevel(option, k) ? (point + LEVELS) % (2 * LEVELS) : point;
}

interface Survivor {
  readonly cost: number;
  readonly option: number;
  readonly key: number;
  readonly states: readonly (PointState | null)[];
  readonly takes: readonly number[];
  readonly past: Survivor | null;
}

const astrayCost = -Math.log(ASTRAY);

/** Cost of a look for a point, by its filter; unknown points cost the same wherever they are. */
function lookCost(state: PointState | null, look: Look, timeS: number, level: number): number {
  const known = state && Math.abs(timeS - state.timeS) <= FORGET_S;
  const density = known ? expectation(state, look, timeS, DENSITY[level] ?? 40) : 1;
  const good = 0.5 + 0.4 * look.score;
  return -Math.log(good * density + ASTRAY);
}

const isAstray = (cost: number): boolean => cost > astrayCost - Math.LN2;

/** Cost of a look for a point that was put right by hand: how far it is from there. */
function setCost(set: Look, look: Look): number {
  const s = look.sd * look.sd * 4;
  const d = (set.x - look.x) ** 2 + (set.y - look.y) ** 2;
  return -Math.log(Math.exp(-d / (2 * s)) / (2 * Math.PI * s) + ASTRAY);
}

/** Both legs of one level under one naming: which looks are taken, and at what cost. */
function level(
  survivor: Survivor,
  frame: PairFrame,
  k: number,
  swapped: boolean,
): { cost: number; left: number; right: number } {
  const takes = (leg: number): { index: number; cost: number; fixed: boolean } => {
    const index = (swapped ? 1 - leg : leg) * LEVELS + k;
    const look = frame.seen[index];
    const set = frame.set[leg * LEVELS + k];
    if (!look) return { index: -1, cost: 0, fixed: false };
    if (set) return { index: -1, cost: setCost(set, look), fixed: true };
    const cost = lookCost(survivor.states[leg * LEVELS + k] ?? null, look, frame.timeS, k);
    return isAstray(cost) ? { index: -1, cost, fixed: false } : { index, cost, fixed: false };
  };
  const [l, r] = [takes(0), takes(1)];
  const both = l.cost + r.cost;
  const [a, b] = [frame.seen[l.index], frame.seen[r.index]];
  const apart = a && b ? Math.hypot(a.x - b.x, a.y - b.y) : Infinity;
  if (!a || !b || apart > TWICE_NEAR) return { cost: both, left: l.index, right: r.index };
  const [onlyLeft, onlyRight] = [l.cost + astrayCost, r.cost + astrayCost];
  const twice = both + (apart < SAME ? SAME_COST : TWICE_COST);
  if (twice <= Math.min(onlyLeft, onlyRight)) return { cost: twice, left: l.index, right: r.index };
  const keepLeft = onlyLeft < onlyRight || (onlyLeft === onlyRight && a.score >= b.score);
  return keepLeft
    ? { cost: onlyLeft, left: l.index, right: -1 }
    : { cost: onlyRight, left: -1, right: r.index };
}

type LevelTakes = ReturnType<typeof level>;

/** What a frame costs whichever way its names are taken, by option. */
function frameCosts(frame: JudgedFrame, dtS: number): number[] {
  return OPTIONS.map((option) => {
    const named = (option & 1 ? nameCost(frame, 0) : 0) + (option & 2 ? nameCost(frame, 2) : 0);
    const split = option === 1 || option === 2 ? SPLIT_COST * Math.min(1, dtS / 0.05) : 0;
    return (placeCost(frame, (option & 2) !== 0) + named) * dtS + split;
  });
}

/** Both legs at every level, by whether its names are exchanged. */
const levelsOf = (survivor: Survivor, frame: JudgedFrame): (readonly [LevelTakes, LevelTakes])[] =>
  [0, 1, 2].map((k) => [level(survivor, frame, k, false), level(survivor, frame, k, true)]);

/** The best survivor of each pair of an option and the one before it. */
function extended(alive: readonly Survivor[], frame: JudgedFrame, dtS: number): Survivor[] {
  const costs = frameCosts(frame, dtS);
  const best: (Survivor | undefined)[] = [];
  for (const past of alive) {
    const levels = levelsOf(past, frame);
    for (const option of OPTIONS) {
      const taken = levels.map((both, k) => both[swapsLevel(option, k) ? 1 : 0]);
      const change = option === past.option ? 0 : CHANGE_COST;
      const cost = past.cost + (costs[option] ?? 0) + change + taken.reduce((sum, one) => sum + one.cost, 0);
      const key = (past.option << 2) | option;
      if (cost >= (best[key]?.cost ?? Infinity)) continue;
      const takes = [...taken.map(({ left }) => left), ...taken.map(({ right }) => right)];
      best[key] = { cost, option, key, states: past.states, takes, past };
    }
  }
  return best.filter((one) => one !== undefined);
}

/** Brings the filters of a survivor up to what it took. */
function settle(survivor: Survivor, frame: PairFrame): Survivor {
  const states = survivor.states.map((state, point) => {
    const density = DENSITY[point % LEVELS] ?? 40;
    const set = frame.set[point];
    // The looks around are off like this frame's own one is: the filter goes on from that, not from the set point.
    const own = set && frame.seen[ownLook(survivor.option, point)];
    if (set && !own) return state ? updated(state, set, frame.timeS, density) : begin(set, frame.timeS);
    const look = own ?? frame.seen[survivor.takes[point] ?? -1];
    const known = state && Math.abs(frame.timeS - state.timeS) <= FORGET_S ? state : null;
    return look ? updated(known, look, frame.timeS, density) : state;
  });
  return { ...survivor, states };
}

type Start = Pick<Survivor, 'option' | 'states'>;

function search(frames: readonly JudgedFrame[], starts: readonly Start[]): Survivor | null {
  let alive = starts.map((start): Survivor => ({ ...start, cost: 0, key: 0, takes: [], past: null }));
  let beforeS = frames[0]?.timeS ?? 0;
  for (const frame of frames) {
    const dtS = Math.min(0.1, Math.abs(frame.timeS - beforeS));
    beforeS = frame.timeS;
    const all = extended(alive, frame, dtS).sort((a, b) => a.cost - b.cost || a.key - b.key);
    const least = all[0]?.cost ?? 0;
    alive = all.filter(({ cost }) => cost <= least + GIVE_UP).map((s) => settle(s, frame));
  }
  return alive[0] ?? null;
}

/** What is known at the end of the search backwards, as a start for the one forwards. */
const reversed = (state: PointState | null): PointState | null =>
  state && { ...state, pp: state.pp + 0.01 ** 2, vv: state.vv + 0.3 ** 2 };

/** The start that would come of other names in the first frame: at each level that they differ in, the legs change places. */
function renamed({ option, states }: Start, to: number): Start {
  const other = states.map((state, point) => {
    const k = point % LEVELS;
    return swapsLevel(option ^ to, k) ? (states[point < LEVELS ? point + LEVELS : k] ?? null) : state;
  });
  return { option: to, states: other };
}

/**
 * Assigns the looks of a pair of legs to the left and the right leg. A first search runs backwards in time, so that
 * the second, forwards, knows from its first frame on how the legs go. As that knowledge holds the first frame's own
 * looks, and would prove its own names right, the second starts from every way to name them.
 */
export function assignLegs(given: readonly PairFrame[]): readonly Assignment[] {
  const frames = judged(given);
  const nothing: Start = { option: 0, states: new Array<PointState | null>(2 * LEVELS).fill(null) };
  const back = search([...frames].reverse(), [nothing]) ?? nothing;
  const start: Start = { option: back.option, states: back.states.map(reversed) };
  const best = search(
    frames,
    OPTIONS.map((option) => renamed(start, option)),
  );
  const out: Assignment[] = [];
  for (let at = best; at?.past; at = at.past) out.push(at.takes);
  return withoutRelays(frames, out.reverse());
}
