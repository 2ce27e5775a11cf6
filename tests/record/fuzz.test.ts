import 'fake-indexeddb/auto';
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { deleteDB } from 'idb';
import { expect, it, vi } from 'vitest';
import { newId } from '../../src/horse/ids.ts';
import { openStore, type Store } from '../../src/horse/store.ts';
import { backup, restore } from '../../src/record/backup.ts';
import { HorseBook } from '../../src/record/book.ts';
import { StaleRevision } from '../../src/record/revisions.ts';
import { root } from '../support/programs.ts';
import { type Dump, makeDatabase } from './databaseDump.ts';
import {
  clipId,
  clipRecord,
  drag,
  expectSound,
  height,
  horse,
  idNo,
  poses,
  resultOf,
  revisionsIn,
} from './made.ts';
import { steps, VERSIONS, visit } from './made.ts';

const NAMES = ['ledwalk-fuzz-0', 'ledwalk-fuzz-1'] as const;
const OLD = JSON.parse(readFileSync(`${root}/tests/fixtures/database-1.json`, 'utf8')) as Dump;

type Step = { readonly tab: number; readonly n: number; readonly what: (typeof WHAT)[number] };
const WHAT = [
  'horse',
  'note',
  'height',
  'visit',
  'clip',
  'file',
  'edit',
  'run',
  'broken',
  'result',
  'backup',
  'restore',
  'settle',
  'reopen',
] as const;
const step: fc.Arbitrary<Step> = fc.record({ tab: fc.nat(1), n: fc.nat(2), what: fc.constantFrom(...WHAT) });

/** Two browsers, what they do, and the backups they have made. */
class Browsers {
  readonly stores: Store[] = [];
  readonly files: Blob[] = [];

  async do({ tab, n, what }: Step, at: number): Promise<void> {
    const store = this.stores[tab] as Store;
    const book = new HorseBook(store);
    const [one] = (await book.horses()).slice(n % 2);
    const clip = await book.get('clips', clipId(n));
    if (what === 'horse') await book.add('horses', horse(`Horse ${n}`), idNo(n + 1));
    else if (what === 'note' && one) await book.change('horses', one, { note: `${at}` });
    else if (what === 'height' && one) await book.add('heights', height(one.id, 1 + n / 10));
    else if (what === 'visit' && one) await book.add('visits', visit(one.id));
    else if (what === 'clip') await store.putClip(clipRecord(n, { withersM: 1 + at / 100 }));
    else if (what === 'file' && one && clip) {
      await book.change('clips', clip, { visitId: (await book.visitsOf(one.id))[0]?.id ?? null });
    } else if (what === 'edit') await store.appendEdit(clipId(n), drag(`${at}`, at));
    else if (what === 'result' && clip) await book.saveResult(resultOf(n, { edits: at % 3 }));
    else if (what === 'run' || what === 'broken') {
      const run = await store.beginRun(clipId(n), { ...VERSIONS, observationVersion: 5 + (at % 2) });
      await run.append(poses(0, 2), steps(0, 2));
      if (what === 'run') await run.complete();
    } else if (what === 'backup') this.files.push(await backup(store, '0.1.0', new Date(0)));
    else if (what === 'restore' && this.files.length > 0) {
      await restore(store, this.files[at % this.files.length] as Blob);
    } else if (what === 'settle') {
      for (const { id } of await book.conflicts()) await book.settle(id, n % 2 ? 'ours' : 'theirs');
    } else if (what === 'reopen') {
      store.close();
      this.stores[tab] = await openStore(NAMES[tab] as string);
    }
  }
}

it('any sequence of writes, restores and migrations leaves no orphan, no double, and revisions that grow', async () => {
  const runs = fc.tuple(fc.boolean(), fc.array(step, { minLength: 5, maxLength: 40 }));
  await fc.assert(
    fc.asyncProperty(runs, async ([old, list]) => {
      const browsers = new Browsers();
      for (const name of NAMES) await deleteDB(name);
      if (old) await makeDatabase(NAMES[0], OLD);
      for (const name of NAMES) browsers.stores.push(await openStore(name));
      let before = await Promise.all(NAMES.map(revisionsIn));
      for (const [i, one] of list.entries()) {
        await browsers.do(one, i).catch((error: unknown) => {
          // Another horse of that id came from the other browser: refused, as it should be.
          if (!(error instanceof StaleRevision)) throw error;
        });
        const now = await Promise.all(NAMES.map(revisionsIn));
        before.forEach((records, tab) => {
          for (const [key, was] of records) {
            const is = now[tab]?.get(key) ?? [];
            // The present revision is the one before, or was made from it.
            if (was.length > 0) expect(is).toContain(was.at(-1));
            expect(is.length).toBeGreaterThanOrEqual(
              was.length > 0 && is.at(-1) === was.at(-1) ? was.length : 0,
            );
          }
        });
        before = now;
      }
      for (const store of browsers.stores) store.close();
      for (const name of NAMES) await expectSound(name);
    }),
    { numRuns: 60, seed: 4 },
  );
});

const WRITES = [
  'add',
  'put',
  'delete',
  'get',
  'getAll',
  'getAllKeys',
  'getKey',
  'count',
  'openCursor',
  'openKeyCursor',
] as const;

/** From the k-th operation on the storage does nothing: the tab is gone, and what it had not committed with it. */
function killAt(k: number): void {
  let left = k;
  for (const name of WRITES) {
    const real = IDBObjectStore.prototype[name] as (...of: unknown[]) => never;
    vi.spyOn(IDBObjectStore.prototype, name).mockImplementation(function (
      this: IDBObjectStore,
      ...of: unknown[]
    ) {
      if (left-- > 0) return real.apply(this, of);
      throw new DOMException('killed', 'UnknownError');
    } as never);
  }
}

/** What was told to be saved, and what was being saved when it ended. */
interface Journal {
  readonly edits: Map<string, string>;
  readonly results: Set<string>;
  readonly whole: Set<string>;
  tried: { id: string; edit: string } | null;
}

async function work(store: Store, journal: Journal, random: () => number): Promise<void> {
  const book = new HorseBook(store);
  for (;;) {
    const n = Math.floor(3 * random());
    const key = clipId(n);
    const what = random();
    if (what < 0.5) {
      const tried = { id: newId(), edit: newId() };
      journal.tried = tried;
      await store.appendEdit(key, drag(tried.edit), tried.id);
      journal.edits.set(tried.edit, key);
      journal.tried = null;
    } else if (what < 0.7) {
      await store.putClip(clipRecord(n, { withersM: 1 + random() }));
      journal.results.add((await book.saveResult(resultOf(n, { edits: Math.floor(5 * random()) }))).id);
    } else {
      const run = await store.beginRun(key, VERSIONS);
      for (let chunk = 0; chunk < 3; chunk++) await run.append(poses(chunk * 2, 2), steps(chunk * 2, 2));
      await run.complete();
      journal.whole.add(key);
    }
  }
}

/** Park and Miller 1988, Commun ACM 31:1192: x' = 16807 x mod (2^31 - 1). */
function seeded(seed: number): () => number {
  let x = seed;
  return () => (x = (x * 16807) % 2147483647) / 2147483647;
}

it('of 200 tabs killed at any moment no correction and no finished result is lost, and none is there twice', async () => {
  const [name] = NAMES;
  const lost = { edits: 0, results: 0, runs: 0, doubled: 0 };
  const made = { edits: 0, results: 0, runs: 0, tried: 0 };
  for (let seed = 1; seed <= 200; seed++) {
    const random = seeded(seed);
    random();
    await deleteDB(name);
    const journal: Journal = { edits: new Map(), results: new Set(), whole: new Set(), tried: null };
    const store = await openStore(name);
    killAt(Math.floor(120 * random()));
    await expect(work(store, journal, random)).rejects.toMatchObject({ code: 'storageFailed' });
    vi.restoreAllMocks();
    store.close();
    const again = await openStore(name);
    const book = new HorseBook(again);
    if (journal.tried) await again.appendEdit(clipId(0), drag(journal.tried.edit), journal.tried.id);
    const kept: string[] = [];
    const results: string[] = [];
    for (const n of [0, 1, 2]) {
      kept.push(
        ...(await again.loadEdits(clipId(n))).map((edit) => ('correction' in edit ? edit.correction.id : '')),
      );
      results.push(...(await book.resultsOf(clipId(n))).map(({ id }) => id));
      const seen = await again.loadObservations(clipId(n));
      if (seen?.complete) expect(seen.frames).toEqual(poses(0, 6));
      if (journal.whole.has(clipId(n)) && !seen?.complete) lost.runs++;
    }
    const wanted = [...journal.edits.keys(), ...(journal.tried ? [journal.tried.edit] : [])];
    lost.edits += wanted.filter((id) => !kept.includes(id)).length;
    lost.results += [...journal.results].filter((id) => !results.includes(id)).length;
    lost.doubled += kept.length - new Set(kept).size + (results.length - new Set(results).size);
    made.edits += wanted.length;
    made.results += journal.results.size;
    made.runs += journal.whole.size;
    made.tried += journal.tried ? 1 : 0;
    again.close();
    await expectSound(name);
  }
  expect(lost).toEqual({ edits: 0, results: 0, runs: 0, doubled: 0 });
  // So that the zeros above say something.
  expect(made.edits).toBeGreaterThan(200);
  expect(made.results).toBeGreaterThan(100);
  expect(made.runs).toBeGreaterThan(50);
  expect(made.tried).toBeGreaterThan(20);
});
