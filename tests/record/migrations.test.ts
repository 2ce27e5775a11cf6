import 'fake-indexeddb/auto';
import { existsSync, readFileSync } from 'node:fs';
import { deleteDB, openDB } from 'idb';
import { beforeEach, expect, it } from 'vitest';
import { applyEdits } from '../../src/horse/edits.ts';
import { SCHEMA_VERSION } from '../../src/horse/schema.ts';
import { openStore } from '../../src/horse/store.ts';
import { canonical } from '../../src/record/revisions.ts';
import { root } from '../support/programs.ts';
import { type Dump, dumpDatabase, makeDatabase } from './databaseDump.ts';
import { expectSound } from './made.ts';

const NAME = 'ledwalk-migrations';
const path = (version: number): string => `${root}/tests/fixtures/database-${version}.json`;
const fixture = (version: number): Dump => JSON.parse(readFileSync(path(version), 'utf8'));
const recordsIn = (dump: Dump, store: string) =>
  (dump.stores.find(({ name }) => name === store)?.records ?? []) as Record<string, unknown>[];
const versions = Array.from({ length: SCHEMA_VERSION }, (_, i) => i + 1);

beforeEach(() => deleteDB(NAME));

it.each(versions)('a database of version %i, as that version wrote it, is kept whole', async (version) => {
  expect(existsSync(path(version))).toBe(true);
  const old = fixture(version);
  expect(old.version).toBe(version);
  await makeDatabase(NAME, old);
  (await openStore(NAME)).close();
  await expectSound(NAME);
  const now = await dumpDatabase(NAME);
  for (const { name, records } of old.stores) {
    const kept = recordsIn(now, name);
    for (const [i, record] of (records as Record<string, unknown>[]).entries()) {
      const same = kept.find((one) =>
        Object.entries(record).every(([field, value]) => canonical(one[field]) === canonical(value)),
      );
      expect(same, `${name} ${i}`).toBeDefined();
    }
  }
});

it('what the first version kept is found by the page as before', async () => {
  await makeDatabase(NAME, fixture(1));
  const store = await openStore(NAME);
  const a = 'a1'.repeat(32);
  expect(await store.getClip(a)).toEqual(recordsIn(fixture(1), 'clips')[0]);
  expect((await store.loadObservations(a))?.frames).toHaveLength(3);
  expect((await store.loadObservations(a))?.complete).toBe(true);
  const edits = await store.loadEdits(a);
  expect(edits).toHaveLength(5);
  expect(applyEdits(edits).corrections).toMatchObject([{ kind: 'event', limb: 'LF', timeS: 1.02 }]);
  // A run whose clip was never kept: unfinished, and said to be so.
  const c = 'c3'.repeat(32);
  expect(await store.getClip(c)).toBeNull();
  expect(await store.unfinishedRuns()).toEqual([{ key: c, untilS: 0 }]);
  store.close();
});

it('a run of the first version that lost chunks to another tab does not count as complete', async () => {
  const old = fixture(1);
  const hurt = old.stores.map((store) =>
    store.name === 'chunks' ? { ...store, records: store.records.slice(1) } : store,
  );
  await makeDatabase(NAME, { ...old, stores: hurt });
  const store = await openStore(NAME);
  const key = String(recordsIn(old, 'chunks')[0]?.['fingerprint']);
  expect((await store.loadObservations(key))?.complete).toBe(false);
  expect(await store.loadEdits(key)).toHaveLength(5);
  store.close();
  await expectSound(NAME);
});

it('a migration that fails leaves the old database as it was', async () => {
  await makeDatabase(NAME, fixture(1));
  const before = canonical(await dumpDatabase(NAME));
  const broken = [() => undefined, () => Promise.reject(new Error('no'))];
  await expect(openStore(NAME, broken)).rejects.toMatchObject({ code: 'storageFailed' });
  expect(canonical(await dumpDatabase(NAME))).toBe(before);
  const db = await openDB(NAME);
  expect(db.version).toBe(1);
  db.close();
});
