import { isMeasured } from '../gait/interval.ts';
import { isDiagonal, ownLags } from '../gait/jog.ts';
import { COMMON_SHAPE_SD_S } from '../gait/edges.ts';
import { quadrature, type Estimate } from '../gait/statistics.ts';
import type { SidePass, Stance } from '../gait/types.ts';
import { isFore, LIMBS, limbSide, type Limb } from '../points.ts';
import { isLarge, type Found } from './moments.ts';

/** Changes of pace, and strides jogged, by the near hooves of a side pass. */

/**
 * Strides of one horse differ by 2 - 5 % in length (Drevemo et al. 1980, EVJ 12:60), neighbours by the root of two of
 * that. About three times as much, in time or in speed, is a change of pace: our choice, no source.
 */
const TIME_CHANGE = 0.12;
const SPEED_CHANGE = 0.18;
/**
 * A change has to show in this many looks: landings, lift-offs and prints of the two near hooves. The other hoof has to
 * show some of it at least, lest one that was mistaken make a change.
 */
const LEAST_WITNESSES = 2;
const OTHER_HOOF = 0.06;

const nearStances = ({ stances, nearSide }: SidePass): Stance[][] =>
  LIMBS.filter((limb) => limbSide(limb) === nearSide).map((limb) =>
    stances.filter((s) => s.limb === limb).sort((a, b) => atS(a) - atS(b)),
  );
const atS = ({ onS, offS, seenS }: Stance): number => onS ?? seenS?.from ?? offS ?? 0;

/** SD of an edge without what all strides of the horse share: that cancels between strides. */
const edgeSd = ({ eventSdS }: Stance): number =>
  Math.sqrt(Math.max(0, eventSdS ** 2 - COMMON_SHAPE_SD_S ** 2));

/** A stride against the one before it: when it began, and the logarithm of how many times as quick it was. */
interface Change {
  readonly limb: Limb;
  readonly timeS: number;
  readonly strideS: number;
  readonly quicker: Estimate;
  readonly isLarge: boolean;
}

const EDGES = ['onS', 'offS'] as const;

function changeOf(
  [first, middle, last]: readonly [Stance, Stance, Stance],
  edge: (typeof EDGES)[number],
  by: 'time' | 'speed',
): Change | null {
  const [a, b, c] = [first[edge], middle[edge], last[edge]];
  if (a === null || b === null || c === null || b <= a || c <= b) return null;
  const [before, after] = [b - a, c - b];
  const timeSd = quadrature(
    edgeSd(first) / before,
    edgeSd(middle) * (1 / before + 1 / after),
    edgeSd(last) / after,
  );
  if (by === 'time') {
    const quicker = { value: Math.log(before / after), sd: timeSd };
    return { limb: middle.limb, timeS: b, strideS: before, quicker, isLarge: isLarge(quicker, TIME_CHANGE) };
  }
  const [p, q, r] = [first.printH ?? NaN, middle.printH ?? NaN, last.printH ?? NaN];
  const sds = [first, middle, last].map(({ printSdH }) => printSdH ?? Infinity);
  const [long, longNext] = [q - p, r - q];
  if (!(long > 0) || !(longNext > 0)) return null;
  const lengthSd = quadrature(
    (sds[0] ?? Infinity) / long,
    (sds[1] ?? Infinity) * (1 / long + 1 / longNext),
    (sds[2] ?? Infinity) / longNext,
  );
  const value = Math.log((longNext / after) * (before / long));
  const quicker = { value, sd: quadrature(timeSd, lengthSd) };
  // The body has gone from print to print by the time that the hoof lands.
  const timeS = middle.onS ?? b;
  return { limb: middle.limb, timeS, strideS: before, quicker, isLarge: isLarge(quicker, SPEED_CHANGE) };
}

/**
 * A hoof that was mistaken makes one stride much too long or too short. A walk changes by less than a third from one
 * stride to the next, and no stride of it lasts so much more or less than the usual one: our assumption, no source.
 */
const MOST_CHANGE = 0.4;
const ONE_STRIDE = [0.72, 1.38] as const;

function changes(pass: SidePass): Change[] {
  const { strideDurationS } = pass.measures;
  if (!isMeasured(strideDurationS)) return [];
  const [least, most] = ONE_STRIDE.map((share) => share * strideDurationS.value) as [number, number];
  const isStride = ({ strideS, quicker }: Change): boolean =>
    Math.abs(quicker.value) < MOST_CHANGE &&
    [strideS, strideS * Math.exp(-quicker.value)].every((s) => s > least && s < most);
  return nearStances(pass).flatMap((own) =>
    own.slice(2).flatMap((last, i) => {
      const [first, middle] = [own[i], own[i + 1]];
      if (!first || !middle) return [];
      const three = [first, middle, last] as const;
      return EDGES.flatMap((edge) => {
        const time = changeOf(three, edge, 'time');
        if (!time || !isStride(time)) return [];
        const speed = changeOf(three, edge, 'speed');
        return speed && Math.abs(speed.quicker.value) < MOST_CHANGE ? [time, speed] : [time];
      });
    }),
  );
}

/**
 * Where one stride is clearly quicker or slower than the one before; a quarter of a stride about it. Strides begun up to
 * one stride before or after the change show part of it, the less the farther they are: their centre is its time.
 */
export function paceChanges(pass: SidePass): Found[] {
  const all = changes(pass);
  let left = all.filter((one) => one.isLarge);
  const found: Found[] = [];
  while (left.length > 0) {
    const most = left.reduce((a, b) => (Math.abs(b.quicker.value) > Math.abs(a.quicker.value) ? b : a));
    const isNear = (one: Change): boolean => Math.abs(one.timeS - most.timeS) < 0.75 * most.strideS;
    const isAlike = (one: Change): boolean =>
      isNear(one) && Math.sign(one.quicker.value) === Math.sign(most.quicker.value);
    const alike = all.filter(isAlike);
    const isSeconded = alike.some(({ limb, quicker }) => limb !== most.limb && isLarge(quicker, OTHER_HOOF));
    if (isSeconded && left.filter(isAlike).length >= LEAST_WITNESSES) {
      const weight = alike.reduce((sum, one) => sum + one.quicker.value, 0);
      const middleS = alike.reduce((sum, one) => sum + one.timeS * one.quicker.value, 0) / weight;
      const quarter = most.strideS / 4;
      found.push({
        kind: 'paceChange',
        startS: middleS - quarter,
        endS: middleS + quarter,
        size: most.quicker,
      });
    }
    left = left.filter((one) => !isNear(one));
  }
  return found;
}

/** Strides of the near side that are surely jogged, as the core tells them. */
export function joggedStrides(pass: SidePass): Found[] {
  const near = nearStances(pass);
  const landings = (fore: boolean): Estimate[] =>
    near
      .flat()
      .flatMap((s) => (isFore(s.limb) === fore && s.onS !== null ? [{ value: s.onS, sd: edgeSd(s) }] : []));
  const [hinds, fores] = [landings(false), landings(true)];
  const { strideDurationS } = pass.measures;
  return hinds.slice(1).flatMap((next, i): Found[] => {
    const from = hinds[i];
    if (!from) return [];
    const usualS = isMeasured(strideDurationS) ? strideDurationS.value : next.value - from.value;
    const jogged = ownLags([from, next], fores, usualS).find(isDiagonal);
    return jogged ? [{ kind: 'jog', startS: from.value, endS: next.value, size: jogged }] : [];
  });
}

/** Of one side pass: a jog is a change of pace by itself. */
export function paceMoments(pass: SidePass): Found[] {
  const jogs = joggedStrides(pass);
  const isOfJog = ({ startS, endS }: Found): boolean =>
    jogs.some(
      (jog) => startS < jog.endS + (jog.endS - jog.startS) && endS > jog.startS - (jog.endS - jog.startS),
    );
  return [...jogs, ...paceChanges(pass).filter((one) => !isOfJog(one))];
}
