import { type IDBPDatabase, openDB } from 'idb';
import type { Ending } from '../clip/source.ts';
import type { SeenBy } from '../observation.ts';
import type { PoseFrame } from '../pose/types.ts';
import { changed, sameContent } from '../record/revisions.ts';
import type { MotionStep } from '../track/types.ts';
import type { Edit } from './edits.ts';
import { StorageError } from './errors.ts';
import { newId } from './ids.ts';
import { clipOf, under, unknownClip } from './keys.ts';
import { RunWriter } from './runWriter.ts';
import {
  type ClipRecord,
  type Migration,
  MIGRATIONS,
  type RunRecord,
  type Schema,
  type StoredClip,
  type Upgrade,
} from './schema.ts';
import { guard, transact, type Transaction } from './transact.ts';

export { RunWriter } from './runWriter.ts';

export interface Observations extends SeenBy {
  /** False where the run was broken off: the frames end early. */
  readonly complete: boolean;
  /** How the reading of the file ended; null where that isn't known. */
  readonly ending: Ending | null;
  readonly frames: readonly PoseFrame[];
  readonly motion: readonly MotionStep[];
}

/** A run that was broken off and can go on. */
export interface Resumed extends Observations {
  readonly writer: RunWriter;
}

/** A clip's horse of which no run is complete. */
export interface Unfinished {
  readonly key: string;
  /** Time of the last frame kept, s; null where none was. */
  readonly untilS: number | null;
}

/** What is kept of clips in this browser: observations as they come, and corrections apart from them. */
export class Store {
  /** For the record, which keeps what is beside the clips: src/record/book.ts. */
  readonly db: IDBPDatabase<Schema>;
  /** Clips as this tab read or wrote them last: what it changes is what differs from that. */
  private readonly known = new Map<string, ClipRecord>();

  constructor(db: IDBPDatabase<Schema>) {
    this.db = db;
  }

  /** Writes what differs from what this tab knew of the clip; the rest stays as another tab may have left it. */
  async putClip(clip: ClipRecord): Promise<void> {
    const base: Partial<ClipRecord> = this.known.get(clip.fingerprint) ?? {};
    await transact(this.db, ['clips'], 'readwrite', async (tx) => {
      const store = tx.objectStore('clips');
      const now = (await store.get(clip.fingerprint)) ?? unknownClip(clip.fingerprint);
      const next = { ...now, ...changed(base, clip) };
      if (now.revisions.length > 0 && sameContent(now, next)) return;
      await store.put({ ...next, revisions: [...now.revisions, newId()] });
    });
    this.known.set(clip.fingerprint, clip);
  }

  async getClip(fingerprint: string): Promise<ClipRecord | null> {
    const found = await guard(() => this.db.get('clips', fingerprint));
    if (!found || found.revisions.length === 0) return null;
    const clip = pageRecord(found);
    this.known.set(fingerprint, clip);
    return clip;
  }

  /** Starts a run. What earlier runs saw stays until this one is complete; edits stay in any case. */
  beginRun(key: string, by: SeenBy): Promise<RunWriter> {
    return transact(this.db, ['clips', 'runs'], 'readwrite', async (tx) => {
      await ensureClip(tx, key);
      const runs = tx.objectStore('runs');
      const last = (await runs.getAllKeys(under(key))).at(-1);
      const started = { id: newId(), startedAt: new Date().toISOString(), complete: false };
      const record: RunRecord = { fingerprint: key, run: last ? last[1] + 1 : 1, ...by, ...started };
      await runs.add(record);
      return new RunWriter(this.db, record);
    });
  }

  /**
   * The latest run of a key where it was broken off and the same network and version saw it; it goes on after the
   * frames given. Null where there is none.
   */
  resumeRun(key: string, by: SeenBy): Promise<Resumed | null> {
    return transact(this.db, ['runs', 'chunks'], 'readonly', async (tx) => {
      const run = (await tx.objectStore('runs').getAll(under(key))).at(-1);
      if (!run || run.complete) return null;
      const same =
        run.networkVersion === by.networkVersion && run.observationVersion === by.observationVersion;
      if (!same) return null;
      const [seen, chunks] = await observationsOf(tx, run);
      const kept = { frames: seen.frames.length, untilS: seen.frames.at(-1)?.timeS ?? null };
      return { ...seen, writer: new RunWriter(this.db, run, chunks, kept) };
    });
  }

  /** Every key of which only unfinished runs are kept. */
  unfinishedRuns(): Promise<Unfinished[]> {
    return transact(this.db, ['runs', 'chunks'], 'readonly', async (tx) => {
      const runs = await tx.objectStore('runs').getAll();
      const whole = new Set(runs.filter(({ complete }) => complete).map(({ fingerprint }) => fingerprint));
      const latest = new Map(runs.map((run) => [run.fingerprint, run]));
      const found: Unfinished[] = [];
      for (const [key, { run }] of latest) {
        if (whole.has(key)) continue;
        const last = await tx.objectStore('chunks').openCursor(under(key, run), 'prev');
        found.push({ key, untilS: last?.value.frames.at(-1)?.timeS ?? null });
      }
      return found;
    });
  }

  /** The latest complete run, else the latest that was broken off; null when there is none. */
  loadObservations(key: string): Promise<Observations | null> {
    return transact(this.db, ['runs', 'chunks'], 'readonly', async (tx) => {
      const runs = await tx.objectStore('runs').getAll(under(key));
      const best = runs.findLast(({ complete }) => complete) ?? runs.at(-1);
      if (!best) return null;
      return (await observationsOf(tx, best))[0];
    });
  }

  /** Adds an edit; tried again with the same id it adds nothing, whether or not the first try was saved. */
  appendEdit(key: string, edit: Edit, id = newId()): Promise<void> {
    return transact(this.db, ['clips', 'edits'], 'readwrite', async (tx) => {
      const edits = tx.objectStore('edits');
      if ((await edits.index('id').getKey(id)) !== undefined) return;
      await ensureClip(tx, key);
      const last = await edits.openKeyCursor(under(key), 'prev');
      await edits.add({ fingerprint: key, seq: last ? last.key[1] + 1 : 1, id, edit });
    });
  }

  loadEdits = (key: string): Promise<Edit[]> =>
    guard(async () => (await this.db.getAll('edits', under(key))).map(({ edit }) => edit));

  /** Copies all edits to a key that has none; where it has some, nothing happens. */
  copyEdits(from: string, to: string): Promise<void> {
    return transact(this.db, ['clips', 'edits'], 'readwrite', async (tx) => {
      const edits = tx.objectStore('edits');
      if ((await edits.count(under(to))) > 0) return;
      await ensureClip(tx, to);
      for (const edit of await edits.getAll(under(from))) {
        await edits.add({ ...edit, fingerprint: to, id: newId() });
      }
    });
  }

  close(): void {
    this.db.close();
  }
}

/** Runs and edits never are without a record of their clip. */
async function ensureClip<N extends 'runs' | 'edits'>(
  tx: Transaction<('clips' | N)[], 'readwrite'>,
  key: string,
): Promise<void> {
  const clips = tx.objectStore('clips');
  if ((await clips.getKey(clipOf(key))) === undefined) await clips.add(unknownClip(clipOf(key)));
}

async function observationsOf(
  tx: Transaction<('runs' | 'chunks')[], 'readonly'>,
  run: RunRecord,
): Promise<[seen: Observations, chunks: number]> {
  const chunks = await tx.objectStore('chunks').getAll(under(run.fingerprint, run.run));
  const seen = {
    networkVersion: run.networkVersion,
    ...(run.observationVersion !== undefined && { observationVersion: run.observationVersion }),
    complete: run.complete,
    ending: run.ending ?? null,
    frames: chunks.flatMap(({ frames }) => frames),
    motion: chunks.flatMap(({ motion }) => motion),
  };
  return [seen, chunks.length];
}

/** What the page knows of a clip. */
function pageRecord({ visitId: _visitId, revisions: _revisions, ...clip }: StoredClip): ClipRecord {
  return clip;
}

/** So long an older tab may take to finish what it writes before it counts as one that doesn't let go. */
const BLOCKED_AFTER_MS = 3000;

/**
 * Opens the store, migrating what an older version of the page wrote. Throws StorageError: storageUnavailable (private
 * window), storageNewer (written by a later version), storageBlocked (an older tab doesn't let go), storageFull. Once a
 * later version opens the store in another tab, all that is asked of this one throws storageNewer.
 */
export async function openStore(
  name = 'ledwalk',
  migrations: readonly Migration[] = MIGRATIONS,
  blockedAfterMs = BLOCKED_AFTER_MS,
): Promise<Store> {
  if (typeof indexedDB === 'undefined') throw new StorageError('storageUnavailable');
  let giveUp: (error: unknown) => void = () => undefined;
  const blocked = new Promise<never>((_resolve, reject) => (giveUp = reject));
  let timer: ReturnType<typeof setTimeout> | undefined;
  const opening = openDB<Schema>(name, migrations.length, {
    upgrade: (database, oldVersion, _newVersion, transaction) =>
      migrated(database, transaction, migrations.slice(oldVersion)).catch(giveUp),
    blocked: () => (timer = setTimeout(() => giveUp(new StorageError('storageBlocked')), blockedAfterMs)),
    // Another tab with a newer version waits for this one to let go.
    blocking: (_current, _blocked, event) => outdated(event.target as IDBDatabase),
  });
  try {
    return new Store(await guard(() => Promise.race([opening, blocked])));
  } catch (error) {
    // Should it come after all, nobody is left to use it.
    opening.then((late) => late.close()).catch(() => undefined);
    throw error;
  } finally {
    clearTimeout(timer);
  }
}

/** All migrations or, if one fails, none: the browser would keep what was done before one that only rejects. */
async function migrated(
  database: IDBPDatabase<Schema>,
  upgrade: Upgrade,
  migrations: readonly Migration[],
): Promise<void> {
  // Told by what fails.
  upgrade.done.catch(() => undefined);
  try {
    for (const migrate of migrations) await migrate(database, upgrade);
  } catch (error) {
    if (upgrade.error === null) upgrade.abort();
    await upgrade.done.catch(() => undefined);
    throw upgrade.error ?? error;
  }
}

function outdated(db: IDBDatabase): void {
  db.close();
  db.transaction = () => {
    throw new StorageError('storageNewer');
  };
}

/** Asks the browser not to clear the store when space runs short; false where it declines. */
export async function askToKeep(): Promise<boolean> {
  // Missing on pages without https, whatever the types say.
  const storage =
    typeof navigator === 'undefined' ? undefined : (navigator.storage as StorageManager | undefined);
  return (await storage?.persist?.().catch(() => false)) ?? false;
}
