/** A database as JSON: what is in tests/fixtures/database-N.json, N the version of its schema. */
import { type IDBPDatabase, openDB } from 'idb';

export interface Dump {
  readonly version: number;
  readonly stores: readonly {
    readonly name: string;
    readonly keyPath: string | string[] | null;
    readonly indexes: readonly {
      readonly name: string;
      readonly keyPath: string;
      readonly unique: boolean;
    }[];
    readonly records: readonly unknown[];
  }[];
}

/** All that is in a database, as it is: opened without a version, so that nothing is migrated. */
export async function dumpDatabase(name: string): Promise<Dump> {
  const db = await openDB(name);
  try {
    return await contentOf(db);
  } finally {
    db.close();
  }
}

async function contentOf(db: IDBPDatabase): Promise<Dump> {
  const tx = db.transaction([...db.objectStoreNames]);
  const stores = [];
  for (const name of db.objectStoreNames) {
    const store = tx.objectStore(name);
    const indexes = [...store.indexNames].map((index) => {
      const { keyPath, unique } = store.index(index);
      return { name: index, keyPath: keyPath as string, unique };
    });
    stores.push({ name, keyPath: store.keyPath, indexes, records: await store.getAll() });
  }
  return { version: db.version, stores };
}

/** Makes the database of a dump; there must be none of that name. */
export async function makeDatabase(name: string, dump: Dump): Promise<void> {
  const db = await openDB(name, dump.version, {
    upgrade(made) {
      for (const { name: store, keyPath, indexes } of dump.stores) {
        const at = made.createObjectStore(store, { keyPath });
        for (const { name: index, keyPath: path, unique } of indexes) at.createIndex(index, path, { unique });
      }
    },
  });
  const tx = db.transaction(
    dump.stores.map(({ name: store }) => store),
    'readwrite',
  );
  for (const { name: store, records } of dump.stores) {
    for (const record of records) void tx.objectStore(store).put(record);
  }
  await tx.done;
  db.close();
}
