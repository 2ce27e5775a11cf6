/** The record of the user's horses: what is kept beside the clips, in the same database. */
import type { IDBPDatabase } from 'idb';
import { RecordError } from '../horse/errors.ts';
import { newId } from '../horse/ids.ts';
import type { Schema, StoredClip } from '../horse/schema.ts';
import type { Store } from '../horse/store.ts';
import { guard, transact, type Transaction } from '../horse/transact.ts';
import { sha256Hex } from './digest.ts';
import {
  type Conflict,
  type HeightAt,
  type Horse,
  idOf,
  type ResultRecord,
  REVISED_TABLES,
  type RevisedTable,
  type RevisedTables,
  type Visit,
} from './model.ts';
import { RECORD_SHAPES } from './recordShapes.ts';
import { canonical, sameContent, StaleRevision } from './revisions.ts';
import { settled } from './settle.ts';

/** Thrown for data that can't be kept as they are: `path` names the field, e.g. `horses.birthDate`. */
export class InvalidRecord extends RecordError {
  readonly path: string;

  constructor(path: string) {
    super(`This can’t be kept: ${path} is missing or out of range.`);
    this.name = 'InvalidRecord';
    this.path = path;
  }
}

type Added = 'horses' | 'heights' | 'visits';
/** The user's part of a record. */
export type Fields<T extends RevisedTable> = Omit<RevisedTables[T], 'id' | 'fingerprint' | 'revisions'>;
type Linking = Transaction<RevisedTable[], 'readwrite'>;

/** All methods throw StorageError where the browser's storage fails; then nothing of that call was written. */
export class HorseBook {
  readonly #db: IDBPDatabase<Schema>;

  constructor({ db }: Pick<Store, 'db'>) {
    this.#db = db;
  }

  /**
   * Adds a horse, height or visit. Tried again with the same id it adds nothing. Throws InvalidRecord for fields out of
   * range or a link to nothing, StaleRevision where the id is that of something else.
   */
  async add<T extends Added>(table: T, fields: Fields<T>, id = newId()): Promise<RevisedTables[T]> {
    // TypeScript does not see that a table's fields, put back together, are its record.
    const record = { ...fields, id, revisions: [newId()] } as unknown as RevisedTables[T];
    return transact(this.#db, [...REVISED_TABLES], 'readwrite', async (tx) => {
      const now = (await tx.objectStore(table).get(id)) as RevisedTables[T] | undefined;
      if (now && sameContent(now, record)) return now;
      if (now) throw new StaleRevision(now);
      await checked(tx, table, record);
      await tx.objectStore(table).add(record);
      return record;
    });
  }

  /**
   * Changes fields of a record as it was read. Throws StaleRevision where it is no longer so: nothing is written, and
   * mergeChange says what to change of the record as it is now. Throws InvalidRecord as add does.
   */
  async change<T extends RevisedTable>(
    table: T,
    base: RevisedTables[T],
    change: Partial<Fields<T>>,
  ): Promise<RevisedTables[T]> {
    return transact(this.#db, [...REVISED_TABLES], 'readwrite', async (tx) => {
      const now = (await tx.objectStore(table).get(idOf(base))) as RevisedTables[T] | undefined;
      if (!now) throw new InvalidRecord(table);
      if (now.revisions.at(-1) !== base.revisions.at(-1)) throw new StaleRevision(now);
      const next = { ...now, ...change };
      if (sameContent(now, next)) return now;
      const record = { ...next, revisions: [...now.revisions, newId()] };
      await checked(tx, table, record);
      await tx.objectStore(table).put(record);
      return record;
    });
  }

  /** Null where there is none. */
  get = <T extends RevisedTable>(table: T, id: string): Promise<RevisedTables[T] | null> =>
    guard(async () => ((await this.#db.get(table, id)) as RevisedTables[T] | undefined) ?? null);

  horses = (): Promise<Horse[]> => guard(() => this.#db.getAll('horses'));
  heightsOf = (horseId: string): Promise<HeightAt[]> =>
    guard(async () => byDate(await this.#db.getAllFromIndex('heights', 'horse', horseId)));
  visitsOf = (horseId: string): Promise<Visit[]> =>
    guard(async () => byDate(await this.#db.getAllFromIndex('visits', 'horse', horseId)));
  /** Those of a visit; with null, those that are filed under none. */
  clipsOf = (visitId: string | null): Promise<StoredClip[]> =>
    guard(async () =>
      visitId === null
        ? (await this.#db.getAll('clips')).filter((clip) => clip.visitId === null)
        : this.#db.getAllFromIndex('clips', 'visit', visitId),
    );
  /** Oldest first. */
  resultsOf = (clipId: string): Promise<ResultRecord[]> =>
    guard(async () =>
      (await this.#db.getAllFromIndex('results', 'clip', clipId)).sort((a, b) =>
        a.madeAt < b.madeAt ? -1 : 1,
      ),
    );

  /**
   * Keeps measures as they are now, whole or not at all; the same measures are kept once, however often they are
   * saved. Throws InvalidRecord where their clip isn't known.
   */
  async saveResult(result: Omit<ResultRecord, 'id'>): Promise<ResultRecord> {
    const record = { ...result, id: await resultId(result) };
    return transact(this.#db, ['clips', 'results'], 'readwrite', async (tx) => {
      const now = await tx.objectStore('results').get(record.id);
      if (now) return now;
      mustBe('results', record);
      if ((await tx.objectStore('clips').getKey(record.clipId)) === undefined) {
        throw new InvalidRecord('results.clipId');
      }
      await tx.objectStore('results').add(record);
      return record;
    });
  }

  /** Remembers where this browser finds the clip's file. */
  keepHandle = (fingerprint: string, handle: FileSystemFileHandle): Promise<void> =>
    guard(async () => void (await this.#db.put('handles', { fingerprint, handle })));
  handleOf = (fingerprint: string): Promise<FileSystemFileHandle | null> =>
    guard(async () => (await this.#db.get('handles', fingerprint))?.handle ?? null);

  /** What restored backups brought in another version than is here, and the user has not chosen yet. */
  conflicts = (): Promise<Conflict[]> =>
    guard(async () => (await this.#db.getAll('conflicts')).filter(({ open }) => open));

  /**
   * Ends a conflict: `ours` leaves the record as it is, `theirs` makes a new revision (of edits: new edits) of the
   * other version. Either way the backup it came from no longer conflicts in it.
   */
  settle(id: string, choice: 'ours' | 'theirs'): Promise<void> {
    return transact(this.#db, [...REVISED_TABLES, 'edits', 'conflicts'], 'readwrite', async (tx) => {
      const conflict = await tx.objectStore('conflicts').get(id);
      if (!conflict?.open) return;
      await settled(tx, conflict, choice);
      await tx.objectStore('conflicts').put({ ...conflict, open: false });
    });
  }
}

const byDate = <T extends { readonly date: string }>(records: readonly T[]): T[] =>
  [...records].sort((a, b) => (a.date < b.date ? -1 : a.date > b.date ? 1 : 0));

export function mustBe(table: keyof typeof RECORD_SHAPES, record: unknown): void {
  const path = RECORD_SHAPES[table](record, table);
  if (path !== null) throw new InvalidRecord(path);
}

async function checked(tx: Linking, table: RevisedTable, record: object): Promise<void> {
  mustBe(table, record);
  for (const [field, to] of [
    ['horseId', 'horses'],
    ['visitId', 'visits'],
  ] as const) {
    const id = (record as Record<string, unknown>)[field];
    if (typeof id !== 'string') continue;
    if ((await tx.objectStore(to).getKey(id)) === undefined) throw new InvalidRecord(`${table}.${field}`);
  }
}

/** Of all that a result says but when it was made. */
export function resultId(result: Omit<ResultRecord, 'id'>): Promise<string> {
  return sha256Hex(canonical({ ...result, id: null, madeAt: null }));
}
