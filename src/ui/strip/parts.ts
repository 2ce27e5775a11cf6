/** The clip as it lies on its time axis: its passes, what is none between them, and the borders. Pure. */
import { type ClipPass, LEAST_S, type PassKind } from '../../gait/passKinds.ts';
import { nearestIndex } from '../../track/times.ts';

/** A pass, or a part of the clip that is none (kind null). It ends before `toS`, where the next one begins. */
export interface Part {
  readonly kind: PassKind | null;
  readonly direction?: ClipPass['direction'];
  readonly fromS: number;
  readonly toS: number;
  /** Of the pass; null of what is none. */
  readonly index: number | null;
}

/** Where one part ends and the next begins: the time of the first frame of that. */
export interface Border {
  readonly key: string;
  readonly timeS: number;
  /** It stays between these, so that no pass gets too short. */
  readonly minS: number;
  readonly maxS: number;
  readonly before: Part;
  readonly after: Part;
}

const at = (timesS: readonly number[], frame: number): number =>
  timesS[Math.min(Math.max(frame, 0), timesS.length - 1)] ?? 0;

/** The whole clip, in order of time; passes whose frames follow each other have nothing between them. */
export function partsOf(passes: readonly ClipPass[], timesS: readonly number[]): Part[] {
  const parts: Part[] = [];
  let next = 0;
  const none = (from: number, to: number): void => {
    if (to > from) parts.push({ kind: null, fromS: at(timesS, from), toS: at(timesS, to), index: null });
  };
  passes.forEach(({ kind, direction, startS, endS }, index) => {
    const [first, last] = [nearestIndex(timesS, startS), nearestIndex(timesS, endS)];
    const from = Math.max(first, next);
    none(next, from);
    next = Math.max(from, last + 1);
    // Of passes that touch, the later one has the frame that both have.
    const shared = passes[index + 1] && nearestIndex(timesS, passes[index + 1]?.startS ?? 0) === last;
    if (shared) next = last;
    const way = direction ? { direction } : {};
    parts.push({ kind, ...way, fromS: at(timesS, from), toS: at(timesS, next), index });
  });
  none(next, timesS.length - 1);
  return parts;
}

const keyOf = (before: Part, after: Part): string =>
  after.index === null ? `end ${before.index}` : `start ${after.index}`;

export function bordersOf(parts: readonly Part[]): Border[] {
  return parts.slice(1).flatMap((after, i) => {
    const before = parts[i];
    if (!before) return [];
    const timeS = after.fromS;
    const [minS, maxS] = [
      before.fromS + (before.index === null ? 0 : LEAST_S),
      after.toS - (after.index === null ? 0 : LEAST_S),
    ];
    const within = { minS: Math.min(minS, timeS), maxS: Math.max(maxS, timeS) };
    return [{ key: keyOf(before, after), timeS, ...within, before, after }];
  });
}

export const partAt = (parts: readonly Part[], timeS: number): Part | null =>
  parts.find(({ toS }) => timeS < toS) ?? parts.at(-1) ?? null;

/** As the core takes them: no measures. */
const bare = ({ kind, startS, endS, direction }: ClipPass): ClipPass => ({
  ...{ kind, startS, endS },
  ...(kind === 'side' && direction ? { direction } : {}),
});

/** With the border at the frame nearest to a time; ends that lie elsewhere are left as they are, to the last digit. */
export function withBorder(
  passes: readonly ClipPass[],
  { before, after }: Border,
  timeS: number,
  timesS: readonly number[],
): ClipPass[] {
  const frame = nearestIndex(timesS, timeS);
  return passes.map((one, index) => {
    if (index === before.index) return bare({ ...one, endS: at(timesS, frame - 1) });
    return bare(index === after.index ? { ...one, startS: at(timesS, frame) } : one);
  });
}

/** With a part of another kind; null: it is no pass. Which way a walk past goes is left to the core. */
export function withKind(
  passes: readonly ClipPass[],
  part: Part,
  kind: PassKind | null,
  timesS: readonly number[],
): ClipPass[] {
  if (part.index !== null)
    return passes.flatMap((one, index) => {
      if (index !== part.index) return [bare(one)];
      const { startS, endS } = one;
      return kind ? [{ kind, startS, endS }] : [];
    });
  if (!kind) return passes.map(bare);
  const isLast = part.toS >= at(timesS, timesS.length - 1);
  const endS = isLast ? part.toS : at(timesS, nearestIndex(timesS, part.toS) - 1);
  return [...passes.map(bare), { kind, startS: part.fromS, endS }].sort((a, b) => a.startS - b.startS);
}

/** Whether both halves of a pass are long enough to be one. */
export const canSplit = ({ index, fromS, toS }: Part, timeS: number): boolean =>
  index !== null && timeS - fromS >= LEAST_S && toS - timeS >= LEAST_S;

/** With a pass that ends before a time, and another one of its kind from there on. */
export function withSplit(
  passes: readonly ClipPass[],
  part: Part,
  timeS: number,
  timesS: readonly number[],
): ClipPass[] {
  const frame = nearestIndex(timesS, timeS);
  return passes.flatMap((one, index) =>
    index === part.index
      ? [bare({ ...one, endS: at(timesS, frame - 1) }), bare({ ...one, startS: at(timesS, frame) })]
      : [bare(one)],
  );
}
