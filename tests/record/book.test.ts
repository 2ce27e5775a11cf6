import 'fake-indexeddb/auto';
import { deleteDB, openDB } from 'idb';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { firstSchema } from '../../src/horse/migrations.ts';
import { MIGRATIONS } from '../../src/horse/schema.ts';
import { openStore, type Store } from '../../src/horse/store.ts';
import { HorseBook } from '../../src/record/book.ts';
import { revisionOf } from '../../src/record/model.ts';
import { mergeChange, StaleRevision } from '../../src/record/revisions.ts';
import {
  clipId,
  clipRecord,
  drag,
  expectSound,
  height,
  horse,
  idNo,
  lookOf,
  poses,
  resultOf,
  steps,
  VERSIONS,
  visit,
} from './made.ts';

const NAME = 'ledwalk-book';
let store: Store;
let book: HorseBook;
beforeEach(async () => {
  await deleteDB(NAME);
  store = await openStore(NAME);
  book = new HorseBook(store);
});
afterEach(async () => {
  vi.restoreAllMocks();
  store.close();
  await expectSound(NAME);
});

const full = (method: 'add' | 'put'): void => {
  vi.spyOn(IDBObjectStore.prototype, method).mockImplementation(() => {
    throw new DOMException('no room', 'QuotaExceededError');
  });
};

describe('the record', () => {
  it('keeps horse, heights, visits, clips and results, and finds them by their links', async () => {
    const filly = await book.add('horses', horse());
    const late = await book.add('visits', visit(filly.id, '2025-07-01'));
    const early = await book.add('visits', visit(filly.id, '2025-05-01'));
    await book.add('heights', height(filly.id));
    await store.putClip(clipRecord(1));
    await store.putClip(clipRecord(2));
    const clip = await book.get('clips', clipId(1));
    if (!clip) throw new Error('no clip');
    await book.change('clips', clip, { visitId: early.id });
    const result = await book.saveResult(resultOf(1));
    await book.keepHandle(clipId(1), { kind: 'file', name: 'walk 1.mp4' } as FileSystemFileHandle);
    store.close();
    store = await openStore(NAME);
    book = new HorseBook(store);
    expect(await book.horses()).toEqual([filly]);
    expect(await book.visitsOf(filly.id)).toEqual([early, late]);
    expect(await book.heightsOf(filly.id)).toMatchObject([{ heightM: 1.48, how: 'stick' }]);
    expect(await book.clipsOf(early.id)).toMatchObject([{ fingerprint: clipId(1) }]);
    expect(await book.clipsOf(null)).toMatchObject([{ fingerprint: clipId(2) }]);
    expect(await book.resultsOf(clipId(1))).toEqual([result]);
    expect(await book.handleOf(clipId(1))).toMatchObject({ name: 'walk 1.mp4' });
    expect(await book.handleOf(clipId(2))).toBeNull();
    // What the page knows of the clip is as it put it.
    expect(await store.getClip(clipId(1))).toEqual(clipRecord(1));
  });

  it.each([
    ['horses.name', () => book.add('horses', horse(''))],
    ['horses.birthDate', () => book.add('horses', { ...horse(), birthDate: '2025-02-30' })],
    ['horses.sex', () => book.add('horses', { ...horse(), sex: 'filly' as never })],
    ['horses.sire', () => book.add('horses', { ...horse(), sire: '' } as never)],
    ['heights.heightM', () => book.add('heights', height(idNo(1), 14.2))],
    ['heights.heightM', () => book.add('heights', height(idNo(1), NaN))],
    ['visits.date', () => book.add('visits', visit(idNo(1), '1.6.2025'))],
    ['visits.horseId', () => book.add('visits', visit(idNo(1)))],
    ['results.clipId', () => book.saveResult(resultOf(1))],
  ])('refuses what can’t be: %s', async (path, work) => {
    const before = await lookOf(NAME);
    await expect(work()).rejects.toMatchObject({ name: 'InvalidRecord', path });
    expect(await lookOf(NAME)).toBe(before);
  });

  it('adds and saves once, however often it is tried', async () => {
    const id = idNo(7);
    const first = await book.add('horses', horse(), id);
    expect(await book.add('horses', horse(), id)).toEqual(first);
    await expect(book.add('horses', horse('Another'), id)).rejects.toBeInstanceOf(StaleRevision);
    await store.putClip(clipRecord(1));
    const kept = await book.saveResult(resultOf(1));
    const again = await book.saveResult(resultOf(1, { madeAt: '2025-06-02T10:00:00.000Z' }));
    expect(again).toEqual(kept);
    await book.saveResult(resultOf(1, { toolVersion: '0.2.0' }));
    expect(await book.resultsOf(clipId(1))).toHaveLength(2);
    await store.appendEdit(clipId(1), drag('a'), idNo(1));
    await store.appendEdit(clipId(1), drag('a'), idNo(1));
    expect(await store.loadEdits(clipId(1))).toEqual([drag('a')]);
  });
});

describe('two tabs', () => {
  it('a change of a record that was changed meanwhile is refused, and can be merged', async () => {
    const base = await book.add('horses', horse());
    const other = await openStore(NAME);
    const theirs = await new HorseBook(other).change('horses', base, { note: 'shy', name: 'Filly' });
    expect(revisionOf(theirs)).toBe(2);
    const mine = { breedType: 'pony', name: 'Bay filly' };
    const refused = await book.change('horses', base, mine).catch((error: unknown) => error);
    if (!(refused instanceof StaleRevision)) throw refused;
    expect(refused.current).toEqual(theirs);
    expect(await book.get('horses', base.id)).toEqual(theirs);
    const { change, clashes } = mergeChange(base, mine, theirs);
    expect(clashes).toEqual([]);
    const merged = await book.change('horses', theirs, change);
    expect(merged).toMatchObject({ note: 'shy', name: 'Filly', breedType: 'pony' });
    expect(revisionOf(merged)).toBe(3);
    expect(mergeChange(base, { name: 'Bay' }, merged).clashes).toEqual(['name']);
    other.close();
  });

  it('that write different things of one clip lose neither, nor where it is filed', async () => {
    await store.putClip(clipRecord(1));
    const other = await openStore(NAME);
    const [here, there] = [await store.getClip(clipId(1)), await other.getClip(clipId(1))];
    if (!here || !there) throw new Error('no clip');
    const { id } = await book.add('visits', visit((await book.add('horses', horse())).id));
    const filed = await book.get('clips', clipId(1));
    if (filed) await book.change('clips', filed, { visitId: id });
    const pick = { box: [1, 2, 3, 4] as const, timeS: 1 };
    await other.putClip({ ...there, pick, picks: [pick] });
    await store.putClip({ ...here, withersM: 1.5 });
    expect(await book.get('clips', clipId(1))).toMatchObject({ visitId: id, withersM: 1.5, pick });
    other.close();
  });

  it('that read one clip at once keep one whole run, and no part of the other', async () => {
    const other = await openStore(NAME);
    const slow = await store.beginRun(clipId(1), VERSIONS);
    await slow.append(poses(0, 5), steps(0, 5));
    const fast = await other.beginRun(clipId(1), VERSIONS);
    await fast.append(poses(0, 9), steps(0, 9));
    await fast.complete();
    const over = { code: 'runOver', kept: { frames: 5, untilS: 4 / 30 } };
    await expect(slow.append(poses(5, 4), steps(5, 4))).rejects.toMatchObject(over);
    await expect(slow.complete()).rejects.toMatchObject(over);
    expect(await store.loadObservations(clipId(1))).toMatchObject({ complete: true, frames: poses(0, 9) });
    other.close();
  });

  it('of which one brings a newer version: the old one lets go and says so', async () => {
    const newer = await openStore(NAME, [...MIGRATIONS, () => undefined]);
    await expect(store.appendEdit(clipId(1), drag('a'))).rejects.toMatchObject({ code: 'storageNewer' });
    await expect(store.getClip(clipId(1))).rejects.toMatchObject({ code: 'storageNewer' });
    newer.close();
    await deleteDB(NAME);
    store = await openStore(NAME);
  });

  it('of which an old one does not let go: it is said, and the store opens later', async () => {
    store.close();
    await deleteDB(NAME);
    const stubborn = await openDB(NAME, 1, { upgrade: firstSchema as never });
    await expect(openStore(NAME, MIGRATIONS, 20)).rejects.toMatchObject({ code: 'storageBlocked' });
    stubborn.close();
    store = await openStore(NAME);
    expect(await store.loadEdits(clipId(1))).toEqual([]);
  });
});

describe('a run', () => {
  it('that was broken off goes on where it was, for the same versions only', async () => {
    const first = await store.beginRun(clipId(1), VERSIONS);
    await first.append(poses(0, 6), steps(0, 6));
    store.close();
    store = await openStore(NAME);
    expect(await store.unfinishedRuns()).toEqual([{ key: clipId(1), untilS: 5 / 30 }]);
    expect(await store.resumeRun(clipId(1), { ...VERSIONS, networkVersion: '5' })).toBeNull();
    const resumed = await store.resumeRun(clipId(1), VERSIONS);
    expect(resumed?.frames).toEqual(poses(0, 6));
    await resumed?.writer.append(poses(6, 4), steps(6, 4));
    expect((await store.loadObservations(clipId(1)))?.complete).toBe(false);
    await resumed?.writer.complete();
    expect(await store.loadObservations(clipId(1))).toMatchObject({ complete: true, frames: poses(0, 10) });
    expect(await store.unfinishedRuns()).toEqual([]);
    expect(await store.resumeRun(clipId(1), VERSIONS)).toBeNull();
  });

  it('ends with what was kept when the storage is full, and never has a hole', async () => {
    const run = await store.beginRun(clipId(1), VERSIONS);
    await run.append(poses(0, 6), steps(0, 6));
    full('add');
    const told = { code: 'storageFull', kept: { frames: 6, untilS: 5 / 30 } };
    await expect(run.append(poses(6, 6), steps(6, 6))).rejects.toMatchObject(told);
    vi.restoreAllMocks();
    // There is room again, but frames are missing.
    await expect(run.append(poses(12, 6), steps(12, 6))).rejects.toMatchObject(told);
    await expect(run.complete()).rejects.toMatchObject(told);
    expect(await store.loadObservations(clipId(1))).toMatchObject({ complete: false, frames: poses(0, 6) });
  });

  it('is refused where the browser runs full only as it commits', async () => {
    const run = await store.beginRun(clipId(1), VERSIONS);
    const add = vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(function (this: IDBObjectStore) {
      const { transaction } = this;
      // As Chromium does it: requests say AbortError, the transaction says why.
      Object.defineProperty(transaction, 'error', {
        get: () => new DOMException('no room', 'QuotaExceededError'),
      });
      transaction.abort();
      throw new DOMException('gone', 'AbortError');
    });
    await expect(run.append(poses(0, 6), steps(0, 6))).rejects.toMatchObject({ code: 'storageFull' });
    expect(add).toHaveBeenCalledOnce();
  });

  it('and all else that is written when the storage is full leaves what was there', async () => {
    await store.putClip(clipRecord(1));
    const filly = await book.add('horses', horse());
    const before = await lookOf(NAME);
    full('add');
    full('put');
    for (const work of [
      () => book.add('visits', visit(filly.id)),
      () => book.change('horses', filly, { note: 'x' }),
      () => book.saveResult(resultOf(1)),
      () => store.putClip({ ...clipRecord(1), withersM: 1.6 }),
      () => store.appendEdit(clipId(1), drag('a')),
    ]) {
      await expect(work()).rejects.toMatchObject({ code: 'storageFull' });
    }
    vi.restoreAllMocks();
    expect(await lookOf(NAME)).toBe(before);
  });
});
