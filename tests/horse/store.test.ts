import 'fake-indexeddb/auto';
import { deleteDB, openDB } from 'idb';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { applyEdits, type Edit } from '../../src/horse/edits.ts';
import { StorageError } from '../../src/horse/errors.ts';
import { MIGRATIONS } from '../../src/horse/schema.ts';
import { openStore, type Store } from '../../src/horse/store.ts';
import type { PoseFrame } from '../../src/pose/types.ts';
import type { MotionStep } from '../../src/track/types.ts';

const NAME = 'ledwalk-test';
const clip = { fingerprint: 'f1', name: 'walk.mp4', sizeBytes: 123, withersM: 1.62, info: null };
const frames = (from: number, n: number): PoseFrame[] =>
  Array.from({ length: n }, (_, i) => ({ timeS: (from + i) / 30, horse: null, people: [], handlerFeet: [] }));
const motion = (from: number, n: number): MotionStep[] =>
  frames(from, n).map(({ timeS }) => ({
    timeS,
    toPrevious: { a: 1, b: 0, tx: 0, ty: 0 },
    inliers: 9,
    features: 10,
    ok: true,
  }));
const drag = (id: string, x: number): Edit => ({
  do: 'set',
  correction: { kind: 'point', id, timeS: 0.5, point: 'left_hind_hoof', x, y: 4 },
});

const V1 = { networkVersion: 'v1', observationVersion: 1 };

let store: Store;
beforeEach(async () => {
  await deleteDB(NAME);
  store = await openStore(NAME);
});
afterEach(() => {
  vi.restoreAllMocks();
  store.close();
});

async function reload(): Promise<void> {
  store.close();
  store = await openStore(NAME);
}

describe('the store', () => {
  it('finds clip, observations and edits again after a reload', async () => {
    await store.putClip(clip);
    const run = await store.beginRun('f1', V1);
    await run.append(frames(0, 10), motion(0, 10));
    await run.append(frames(10, 5), motion(10, 5));
    await store.appendEdit('f1', drag('a', 3));
    await store.appendEdit('f1', drag('b', 7));
    await store.appendEdit('f1', { do: 'undo' });
    await reload();
    expect(await store.getClip('f1')).toEqual(clip);
    const broken = await store.loadObservations('f1');
    expect(broken?.complete).toBe(false);
    expect(broken?.frames).toEqual(frames(0, 15));
    expect(broken?.motion).toEqual(motion(0, 15));
    const edits = await store.loadEdits('f1');
    expect(edits).toEqual([drag('a', 3), drag('b', 7), { do: 'undo' }]);
    expect(applyEdits(edits)).toMatchObject({
      corrections: [{ id: 'a', x: 3 }],
      canUndo: true,
      canRedo: true,
    });
  });

  it('keeps the edits, and the last whole run until the next is whole', async () => {
    const first = await store.beginRun('f1', V1);
    await first.append(frames(0, 3), []);
    await first.complete();
    await store.appendEdit('f1', drag('a', 3));
    const second = await store.beginRun('f1', { networkVersion: 'v2', observationVersion: 2 });
    await second.append(frames(0, 1), []);
    expect(await store.loadObservations('f1')).toMatchObject({ ...V1, complete: true });
    await second.append(frames(1, 1), []);
    await second.complete();
    await reload();
    const now = await store.loadObservations('f1');
    expect(now).toMatchObject({ networkVersion: 'v2', observationVersion: 2, complete: true });
    expect(now?.frames).toEqual(frames(0, 2));
    expect(await store.loadEdits('f1')).toEqual([drag('a', 3)]);
    const raw = await openDB(NAME);
    expect(await raw.count('chunks')).toBe(2);
    raw.close();
  });

  it('keeps clips apart, in order beyond ten chunks and edits', async () => {
    for (let i = 0; i < 12; i++) await store.appendEdit('f1', drag('a', i));
    await store.appendEdit('f2', drag('z', 99));
    const run = await store.beginRun('f2', V1);
    for (let i = 0; i < 12; i++) await run.append(frames(i, 1), []);
    expect(
      (await store.loadEdits('f1')).map((e) =>
        e.do === 'set' && e.correction.kind === 'point' ? e.correction.x : NaN,
      ),
    ).toEqual(Array.from({ length: 12 }, (_, i) => i));
    expect((await store.loadObservations('f2'))?.frames).toEqual(frames(0, 12));
    expect(await store.loadEdits('f2')).toEqual([drag('z', 99)]);
    expect(await store.loadObservations('f1')).toBeNull();
  });

  it('copies edits to a key that has none, and to no other', async () => {
    await store.appendEdit('f1@1', drag('a', 3));
    await store.appendEdit('f1@1', { do: 'undo' });
    await store.appendEdit('f1@2', drag('b', 4));
    await store.copyEdits('f1@1', 'f1@3');
    await store.copyEdits('f1@1', 'f1@2');
    expect(await store.loadEdits('f1@3')).toEqual([drag('a', 3), { do: 'undo' }]);
    expect(await store.loadEdits('f1@2')).toEqual([drag('b', 4)]);
    await store.appendEdit('f1@3', { do: 'redo' });
    expect(await store.loadEdits('f1@3')).toHaveLength(3);
    expect(await store.loadEdits('f1@1')).toHaveLength(2);
  });

  it('does not say of a run kept by an older page which version of observing it is of', async () => {
    await store.beginRun('f1', { networkVersion: 'v1' });
    expect(await store.loadObservations('f1')).not.toHaveProperty('observationVersion');
  });

  it('numbers edits of two pages that write at once without losing one', async () => {
    const other = await openStore(NAME);
    await Promise.all([0, 1, 2, 3].map((i) => (i % 2 ? store : other).appendEdit('f1', drag(`${i}`, i))));
    expect(await store.loadEdits('f1')).toHaveLength(4);
    other.close();
  });

  it('says that the storage is full, and keeps what was there', async () => {
    await store.appendEdit('f1', drag('a', 3));
    vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(() => {
      throw new DOMException('no room', 'QuotaExceededError');
    });
    const refused = store.appendEdit('f1', drag('b', 4));
    await expect(refused).rejects.toBeInstanceOf(StorageError);
    await expect(refused).rejects.toMatchObject({
      code: 'storageFull',
      message: expect.stringContaining('full'),
    });
    vi.restoreAllMocks();
    expect(await store.loadEdits('f1')).toEqual([drag('a', 3)]);
  });

  it('brings an older database up by the numbered migrations and refuses a newer one', async () => {
    await store.putClip(clip);
    store.close();
    const seen: number[] = [];
    const next = await openStore(NAME, [
      ...MIGRATIONS,
      (db, upgrade) => {
        seen.push(db.version);
        void upgrade
          .objectStore('clips')
          .put({ ...clip, visitId: null, revisions: ['r1'], name: 'renamed.mp4' });
      },
    ]);
    expect(seen).toEqual([MIGRATIONS.length + 1]);
    expect((await next.getClip('f1'))?.name).toBe('renamed.mp4');
    next.close();
    await expect(openStore(NAME)).rejects.toMatchObject({ code: 'storageNewer' });
    await deleteDB(NAME);
    store = await openStore(NAME);
  });
});
