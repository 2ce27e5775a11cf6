/** Everything that is kept as one file, and back: see backupFile.ts for the file, restore.ts for how it is merged. */
import type { IDBPDatabase } from 'idb';
import { under } from '../horse/keys.ts';
import { type Schema, SCHEMA_VERSION } from '../horse/schema.ts';
import type { Store } from '../horse/store.ts';
import { transact } from '../horse/transact.ts';
import { BACKUP_FORMAT, type Line, readBackupFile, type Table, writeBackupFile } from './backupFile.ts';
import { contentsOf } from './contents.ts';
import { REVISED_TABLES } from './model.ts';
import { BackupRefused } from './refusals.ts';
import { merge, type Restored } from './restore.ts';
import { StorageError } from '../horse/errors.ts';

const SMALL_TABLES = [...REVISED_TABLES, 'edits', 'results', 'conflicts'] as const satisfies Table[];

/** Larger ones, unpacked, would not fit the memory of a usual machine. */
const MOST_BYTES = 2 ** 30;

/**
 * All that is kept, as a gzip file for restore; only where this browser finds the clips' files is left out. Throws
 * StorageError; needs a page with https.
 */
export function backup({ db }: Pick<Store, 'db'>, toolVersion: string, now = new Date()): Promise<Blob> {
  const header = {
    format: BACKUP_FORMAT,
    schema: SCHEMA_VERSION,
    toolVersion,
    madeAt: now.toISOString(),
  } as const;
  return writeBackupFile(header, everything(db));
}

async function* everything(db: IDBPDatabase<Schema>): AsyncGenerator<Line> {
  const { small, keys } = await transact(db, [...SMALL_TABLES, 'runs'], 'readonly', async (tx) => {
    const found: Line[] = [];
    for (const table of SMALL_TABLES) {
      for (const record of await tx.objectStore(table).getAll()) found.push({ table, record });
    }
    const runs = await tx.objectStore('runs').getAllKeys();
    return { small: found, keys: new Set(runs.map(([key]) => key)) };
  });
  yield* small;
  // What was seen is large: that of one clip at a time, as it is then.
  for (const key of keys) yield* await seenOf(db, key);
}

const seenOf = (db: IDBPDatabase<Schema>, key: string): Promise<Line[]> =>
  transact(db, ['runs', 'chunks'], 'readonly', async (tx) => {
    const runs = await tx.objectStore('runs').getAll(under(key));
    const chunks = await tx.objectStore('chunks').getAll(under(key));
    return [
      ...runs.map((record): Line => ({ table: 'runs', record })),
      ...chunks.map((record): Line => ({ table: 'chunks', record })),
    ];
  });

/**
 * Merges a backup into what is kept. What is here already is left; what was changed since the backup stays as it is;
 * what is newer in the backup counts; what was changed in both is left as it is here, and the other version is kept
 * beside it as a conflict. All or nothing: throws BackupRefused (with a code) or StorageError, and nothing has changed.
 */
export async function restore(
  { db }: Pick<Store, 'db'>,
  file: Blob,
  { mostBytes = MOST_BYTES } = {},
): Promise<Restored> {
  try {
    return await merge(db, await contentsOf(readBackupFile(file, SCHEMA_VERSION, mostBytes)));
  } catch (error) {
    const cause = error instanceof StorageError ? error.cause : error;
    // Nested too deeply to be ours; or an id that is taken by something else.
    const impossible =
      cause instanceof RangeError || (cause instanceof DOMException && cause.name === 'ConstraintError');
    throw impossible ? new BackupRefused('invalid', '', cause) : error;
  }
}
