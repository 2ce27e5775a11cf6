import { type IDBPDatabase, openDB } from 'idb';
import type { Ending } from '../clip/source.ts';
import type { SeenBy } from '../observation.ts';
import type { PoseFrame } from '../pose/types.ts';
import type { MotionStep } from '../track/types.ts';
import type { Edit } from './edits.ts';
import { storageError, StorageError } from './errors.ts';
import { type ClipRecord, type Migration, MIGRATIONS, type RunRecord, type Schema } from './schema.ts';

export interface Observations extends SeenBy {
  /** False where the run was broken off: the frames end early. */
  readonly complete: boolean;
  /** How the reading of the file ended; null where that isn't known. */
  readonly ending: Ending | null;
  readonly frames: readonly PoseFrame[];
  readonly motion: readonly MotionStep[];
}

/** All keys of one clip (and one run): arrays sort after numbers. */
const under = (...prefix: (string | number)[]): IDBKeyRange => IDBKeyRange.bound(prefix, [...prefix, []]);

/** What is kept of clips in this browser: observations as they come, and corrections apart from them. */
export class Store {
  private readonly db: IDBPDatabase<Schema>;

  constructor(db: IDBPDatabase<Schema>) {
    this.db = db;
  }

  putClip = (clip: ClipRecord): Promise<void> => guard(async () => void (await this.db.put('clips', clip)));

  getClip = (fingerprint: string): Promise<ClipRecord | null> =>
    guard(async () => (await this.db.get('clips', fingerprint)) ?? null);

  /** Starts a run. What earlier runs saw stays until this one is complete; edits stay in any case. */
  beginRun(fingerprint: string, by: SeenBy): Promise<RunWriter> {
    return guard(async () => {
      const tx = this.db.transaction('runs', 'readwrite');
      const last = (await tx.store.getAllKeys(under(fingerprint))).at(-1);
      const record = { fingerprint, run: last ? last[1] + 1 : 1, ...by, complete: false };
      await Promise.all([tx.store.put(record), tx.done]);
      return new RunWriter(this.db, record);
    });
  }

  /** The latest complete run, else the latest that was broken off; null when there is none. */
  loadObservations(fingerprint: string): Promise<Observations | null> {
    return guard(async () => {
      const tx = this.db.transaction(['runs', 'chunks']);
      const runs = await tx.objectStore('runs').getAll(under(fingerprint));
      const best = runs.findLast(({ complete }) => complete) ?? runs.at(-1);
      if (!best) return null;
      const chunks = await tx.objectStore('chunks').getAll(under(fingerprint, best.run));
      return {
        networkVersion: best.networkVersion,
        ...(best.observationVersion !== undefined && { observationVersion: best.observationVersion }),
        complete: best.complete,
        ending: best.ending ?? null,
        frames: chunks.flatMap(({ frames }) => frames),
        motion: chunks.flatMap(({ motion }) => motion),
      };
    });
  }

  appendEdit(fingerprint: string, edit: Edit): Promise<void> {
    return guard(async () => {
      const tx = this.db.transaction('edits', 'readwrite');
      const last = await tx.store.openKeyCursor(under(fingerprint), 'prev');
      const seq = last ? last.key[1] + 1 : 1;
      await Promise.all([tx.store.add({ fingerprint, seq, edit }), tx.done]);
    });
  }

  loadEdits = (fingerprint: string): Promise<Edit[]> =>
    guard(async () => (await this.db.getAll('edits', under(fingerprint))).map(({ edit }) => edit));

  /** Copies all edits to a key that has none; where it has some, nothing happens. */
  copyEdits(from: string, to: string): Promise<void> {
    return guard(async () => {
      const tx = this.db.transaction('edits', 'readwrite');
      const copied = (await tx.store.count(under(to))) > 0 ? [] : await tx.store.getAll(under(from));
      await Promise.all([...copied.map((edit) => tx.store.add({ ...edit, fingerprint: to })), tx.done]);
    });
  }

  close(): void {
    this.db.close();
  }
}

/** Writes what one run sees, chunk by chunk, each in a transaction of its own. */
export class RunWriter {
  private readonly db: IDBPDatabase<Schema>;
  private readonly record: RunRecord;
  private chunk = 0;

  constructor(db: IDBPDatabase<Schema>, record: RunRecord) {
    this.db = db;
    this.record = record;
  }

  append(frames: readonly PoseFrame[], motion: readonly MotionStep[]): Promise<void> {
    const { fingerprint, run } = this.record;
    const chunk = this.chunk++;
    return guard(async () => void (await this.db.put('chunks', { fingerprint, run, chunk, frames, motion })));
  }

  /** Marks the run complete and forgets what earlier runs of the clip saw. */
  complete(ending: Ending | null = null): Promise<void> {
    const { fingerprint, run } = this.record;
    return guard(async () => {
      const tx = this.db.transaction(['runs', 'chunks'], 'readwrite');
      const earlier = IDBKeyRange.bound([fingerprint], [fingerprint, run], false, true);
      await Promise.all([
        tx.objectStore('runs').put({ ...this.record, complete: true, ending }),
        tx.objectStore('runs').delete(earlier),
        tx.objectStore('chunks').delete(earlier),
        tx.done,
      ]);
    });
  }
}

async function guard<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw storageError(error);
  }
}

/**
 * Opens the store, migrating what an older version of the page wrote.
 * Throws StorageError: unavailable (private window), newer (written by a later version), full.
 */
export async function openStore(
  name = 'ledwalk',
  migrations: readonly Migration[] = MIGRATIONS,
): Promise<Store> {
  if (typeof indexedDB === 'undefined') throw new StorageError('storageUnavailable');
  return guard(async () => {
    const db: IDBPDatabase<Schema> = await openDB<Schema>(name, migrations.length, {
      async upgrade(database, oldVersion, _newVersion, transaction) {
        for (const migrate of migrations.slice(oldVersion)) await migrate(database, transaction);
      },
      // Another tab with a newer version waits for this one to let go.
      blocking: (_current, _blocked, event) => (event.target as IDBDatabase).close(),
    });
    return new Store(db);
  });
}

/** Asks the browser not to clear the store when space runs short; false where it declines. */
export async function askToKeep(): Promise<boolean> {
  // Missing on pages without https, whatever the types say.
  const storage =
    typeof navigator === 'undefined' ? undefined : (navigator.storage as StorageManager | undefined);
  return (await storage?.persist?.().catch(() => false)) ?? false;
}
