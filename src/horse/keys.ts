import type { StoredClip } from './schema.ts';

/** All keys of one clip (and one run): arrays sort after numbers. */
export const under = (...prefix: (string | number)[]): IDBKeyRange =>
  IDBKeyRange.bound(prefix, [...prefix, []]);

/** The clip of a key: see keyOf in picks.ts. */
export const clipOf = (key: string): string => key.split('@', 1)[0] as string;

/** A clip of which no more is known. */
export const unknownClip = (fingerprint: string): StoredClip => ({
  ...{ fingerprint, name: '', sizeBytes: 0, withersM: null, info: null },
  visitId: null,
  revisions: [],
});
