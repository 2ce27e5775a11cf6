import type { Estimate } from '../gait/statistics.ts';
import type { Side } from '../points.ts';

/**
 * What a moment is about, and what its size is:
 *
 * - headTurned: the head is carried to one side; aside of the body's line, withers heights, to its left positive
 * - headHigh: the head is up on the long side; poll above withers, withers heights
 * - paceChange: one stride is quicker or slower than the one before; the natural logarithm of the ratio, quicker positive
 * - jog: two beats; time from hind to fore of one side, share of the stride
 * - handlerAhead: the handler is in front of the shoulder; lengths of the trunk ahead of it
 * - legsHidden: the handler hides a near leg; share of the looks at its hoof that are missing
 */
export type MomentKind = 'headTurned' | 'headHigh' | 'paceChange' | 'jog' | 'handlerAhead' | 'legsHidden';

/** A part of a pass that can be led better next time. Times are those of the clip, s. */
export interface Moment {
  readonly kind: MomentKind;
  readonly startS: number;
  readonly endS: number;
  /** Place of its pass in the list of passes. */
  readonly pass: number;
  readonly size: Estimate;
  /** Of a turned head: the side of the horse on which the handler was seen; absent where no feet were seen. */
  readonly handlerSide?: Side;
}
export type Found = Omit<Moment, 'pass'>;

/** Moments of one kind and one way this near to each other are one, s. */
const NEIGHBOURS_S = 0.6;
/** More than a handful for one pass is not read: the longest are given. */
const MOST_A_PASS = 5;

const lastsS = ({ startS, endS }: Found): number => endS - startS;

function joined(found: readonly Found[]): Found[] {
  const out: Found[] = [];
  for (const one of [...found].sort((a, b) => a.startS - b.startS)) {
    const at = out.findLastIndex(
      ({ kind, size }) => kind === one.kind && Math.sign(size.value) === Math.sign(one.size.value),
    );
    const before = out[at];
    if (before && one.startS - before.endS < NEIGHBOURS_S) {
      const { size } = Math.abs(one.size.value) > Math.abs(before.size.value) ? one : before;
      out[at] = { ...before, endS: Math.max(before.endS, one.endS), size };
    } else out.push(one);
  }
  return out;
}

/** Of one pass: neighbours joined, no more than a handful, in order of time. */
export function handful(found: readonly Found[], pass: number): Moment[] {
  return joined(found)
    .sort((a, b) => lastsS(b) - lastsS(a))
    .slice(0, MOST_A_PASS)
    .sort((a, b) => a.startS - b.startS)
    .map((one) => ({ ...one, pass }));
}

/** A look at something that is there to some size, or can't be told (null). */
export interface Look {
  readonly timeS: number;
  readonly size: Estimate | null;
}

/** Looks that can't be told don't end what holds before and after, for so long, s. */
const HOLE_S = 0.3;
/** 97.5 % of a normal law lie below this many SDs. */
const SURE_SD = 1.96;

export const isBeyond = ({ value, sd }: Estimate, limit: number): boolean =>
  Math.abs(value) - SURE_SD * sd > limit;

/** Larger than its own error, and than what is let pass. */
export const isLarge = (size: Estimate, limit: number): boolean =>
  isBeyond(size, 0) && Math.abs(size.value) > limit;

/** Spans of `leastS` and more in which the size is surely beyond the limit, to one side; with its largest look. */
export function spansBeyond(
  kind: MomentKind,
  looks: readonly Look[],
  limit: number,
  leastS: number,
): Found[] {
  const spans: Found[] = [];
  let open: Found | null = null;
  const close = (): void => {
    if (open && lastsS(open) >= leastS) spans.push(open);
    open = null;
  };
  for (const { timeS, size } of looks) {
    if (open && timeS - open.endS > HOLE_S) close();
    if (size === null) continue;
    const isSame: boolean = open === null || Math.sign(open.size.value) === Math.sign(size.value);
    if (!isBeyond(size, limit) || !isSame) close();
    if (!isBeyond(size, limit)) continue;
    const largest: Estimate = open && Math.abs(open.size.value) > Math.abs(size.value) ? open.size : size;
    open = { kind, startS: open ? open.startS : timeS, endS: timeS, size: largest };
  }
  close();
  return spans;
}
