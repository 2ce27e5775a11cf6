import type { IDBPDatabase, StoreNames } from 'idb';
import type { Ending } from '../clip/source.ts';
import type { PoseFrame } from '../pose/types.ts';
import type { MotionStep } from '../track/types.ts';
import { type KeptOfRun, StorageError } from './errors.ts';
import { under } from './keys.ts';
import type { RunRecord, Schema } from './schema.ts';
import { transact, type Transaction } from './transact.ts';

type Writing = Transaction<('runs' | 'chunks')[], 'readwrite'>;

/** Writes what one run sees, chunk by chunk, each in a transaction of its own. */
export class RunWriter {
  private readonly db: IDBPDatabase<Schema>;
  private readonly record: RunRecord;
  private chunk: number;
  private kept: KeptOfRun;
  private failure: unknown = null;

  constructor(db: IDBPDatabase<Schema>, record: RunRecord, chunk = 0, kept?: KeptOfRun) {
    this.db = db;
    this.record = record;
    this.chunk = chunk;
    this.kept = kept ?? { frames: 0, untilS: null };
  }

  /**
   * Saves some frames. Throws StorageError, with what of the run was kept; from then on the run takes no more, so
   * that it never has a hole: runOver where another tab has read the clip to its end or goes on with this run.
   */
  append(frames: readonly PoseFrame[], motion: readonly MotionStep[]): Promise<void> {
    const { fingerprint, run } = this.record;
    const chunk = this.chunk++;
    return this.write(chunk, async (tx) => {
      await tx.objectStore('chunks').add({ fingerprint, run, chunk, frames, motion });
    }).then(() => {
      const untilS = frames.at(-1)?.timeS ?? this.kept.untilS;
      this.kept = { frames: this.kept.frames + frames.length, untilS };
    });
  }

  /** Marks the run complete and forgets what others of the clip saw, so that one counts. Throws as append does. */
  complete(ending: Ending | null = null): Promise<void> {
    const { fingerprint, run } = this.record;
    return this.write(this.chunk, async (tx) => {
      for (const other of await tx.objectStore('runs').getAll(under(fingerprint))) {
        if (other.run < run || other.complete) await forgetRun(tx, other);
      }
      await tx.objectStore('runs').put({ ...this.record, complete: true, ending });
    });
  }

  /** Does the work where the run is there, unfinished, with just so many chunks. */
  private async write(chunks: number, work: (tx: Writing) => Promise<void>): Promise<void> {
    const { fingerprint, run, id } = this.record;
    try {
      await transact(this.db, ['runs', 'chunks'], 'readwrite', async (tx) => {
        if (this.failure) throw this.failure;
        const now = await tx.objectStore('runs').get([fingerprint, run]);
        const there = await tx.objectStore('chunks').count(under(fingerprint, run));
        if (now?.id !== id || now.complete || there !== chunks) throw new StorageError('runOver');
        await work(tx);
      });
    } catch (error) {
      this.failure ??= error;
      throw error instanceof StorageError ? new StorageError(error.code, error.cause, this.kept) : error;
    }
  }
}

/** Deletes a run with all that it saw. */
export async function forgetRun<N extends StoreNames<Schema>>(
  tx: Transaction<('runs' | 'chunks' | N)[], 'readwrite'>,
  { fingerprint, run }: Pick<RunRecord, 'fingerprint' | 'run'>,
): Promise<void> {
  await tx.objectStore('runs').delete([fingerprint, run]);
  await tx.objectStore('chunks').delete(under(fingerprint, run));
}
