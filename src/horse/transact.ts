import type { IDBPDatabase, IDBPTransaction, StoreNames } from 'idb';
import { storageError } from './errors.ts';
import type { Schema } from './schema.ts';

export type Stores = StoreNames<Schema>[];
export type Transaction<N extends Stores, M extends IDBTransactionMode> = IDBPTransaction<Schema, N, M>;

/**
 * All of the work or, if any of it fails, none. Resolves once it is committed. The work may await nothing but the
 * database, which would else commit what was done so far. Throws StorageError, and RecordErrors of the work itself.
 */
export async function transact<N extends Stores, M extends 'readonly' | 'readwrite', T>(
  db: IDBPDatabase<Schema>,
  stores: N,
  mode: M,
  work: (tx: Transaction<N, M>) => Promise<T>,
): Promise<T> {
  const tx = begin(db, stores, mode);
  // Awaited below; meanwhile its failure is no unhandled one.
  tx.done.catch(() => undefined);
  try {
    const result = await work(tx);
    await tx.done;
    return result;
  } catch (error) {
    await undone(tx);
    // Where the browser gave up the whole, its requests only say that they were aborted.
    throw storageError(tx.error ?? error);
  }
}

function begin<N extends Stores, M extends IDBTransactionMode>(
  db: IDBPDatabase<Schema>,
  stores: N,
  mode: M,
): Transaction<N, M> {
  try {
    return db.transaction(stores, mode);
  } catch (error) {
    throw storageError(error);
  }
}

async function undone(tx: { abort(): void; readonly done: Promise<void> }): Promise<void> {
  try {
    tx.abort();
  } catch {
    // It is over already.
  }
  await tx.done.catch(() => undefined);
}

/** Rethrows the browser's errors as StorageErrors. */
export async function guard<T>(work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    throw storageError(error);
  }
}
