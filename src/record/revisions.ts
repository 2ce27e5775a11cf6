/** Telling versions of a record apart. Pure. */
import { RecordError } from '../horse/errors.ts';
import type { Revised } from './model.ts';

/** JSON with the keys of objects in order, so that equal data give equal text. Undefined counts as absent. */
export const canonical = (value: unknown): string => JSON.stringify(sorted(value)) ?? 'null';

function sorted(value: unknown): unknown {
  // JSON has no numbers beyond all bounds.
  if (typeof value === 'number' && !Number.isFinite(value)) return { $number: String(value) };
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== 'object' || value === null) return value;
  const entries = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
  return Object.fromEntries(entries.map(([key, part]) => [key, sorted(part)]));
}

export const sameContent = (a: object, b: object): boolean =>
  canonical({ ...a, revisions: null }) === canonical({ ...b, revisions: null });

/** The fields of `now` that differ from those of `base`. */
export function changed<T extends object>(base: Partial<T>, now: T): Partial<T> {
  const differ = ([key, value]: [string, unknown]): boolean =>
    canonical(value) !== canonical(base[key as keyof T]);
  return Object.fromEntries(Object.entries(now).filter(differ)) as Partial<T>;
}

export type Standing = 'same' | 'newer' | 'older' | 'conflict';

/** How a version of a record stands to ours: newer where it was made from ours. */
export function standing(ours: Revised, theirs: Revised): Standing {
  if (sameContent(ours, theirs)) return 'same';
  if (isAmong(ours, theirs)) return 'newer';
  return isAmong(theirs, ours) ? 'older' : 'conflict';
}

const isAmong = ({ revisions }: Revised, later: Revised): boolean =>
  revisions.length === 0 || later.revisions.includes(revisions.at(-1) as string);

/**
 * Thrown by a change of a record that is no longer as it was when the change began; nothing was written. `current` is
 * the record as it is now: see mergeChange.
 */
export class StaleRevision<T extends Revised = Revised> extends RecordError {
  readonly current: T;

  constructor(current: T) {
    super('This was changed in another tab meanwhile.');
    this.name = 'StaleRevision';
    this.current = current;
  }
}

export interface Merged<T> {
  /** To be made on `current`. */
  readonly change: Partial<T>;
  /** Fields that the other tab set to something else than this change does: to be asked about. */
  readonly clashes: readonly (keyof T)[];
}

/** What is left of a change that was begun on `base`, now that the record is `current`. */
export function mergeChange<T extends Revised>(base: T, change: Partial<T>, current: T): Merged<T> {
  const mine = changed<Partial<T>>(base, change);
  const theirs = changed<Partial<T>>(base, current);
  const keys = Object.keys(mine) as (keyof T)[];
  const clashes = keys.filter((key) => key in theirs && canonical(mine[key]) !== canonical(theirs[key]));
  return { change: mine as Partial<T>, clashes };
}
