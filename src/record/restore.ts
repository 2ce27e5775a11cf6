import type { IDBPDatabase } from 'idb';
import { under } from '../horse/keys.ts';
import { forgetRun } from '../horse/runWriter.ts';
import type { EditRecord, RunRecord, Schema } from '../horse/schema.ts';
import { transact, type Transaction } from '../horse/transact.ts';
import type { Contents, Run } from './contents.ts';
import { type Conflict, idOf, REVISED_TABLES, type RevisedTable, type RevisedTables } from './model.ts';
import { canonical, standing } from './revisions.ts';

/** Numbers of records (of edits: lists of them). */
export interface Tally {
  added: number;
  /** Newer in the backup. */
  renewed: number;
  same: number;
  /** Newer here. */
  older: number;
}

export interface Restored {
  readonly tables: Readonly<Record<RevisedTable | 'edits' | 'results' | 'runs', Tally>>;
  /** Those that this backup brought; HorseBook.conflicts has all that are open. */
  readonly conflicts: readonly Conflict[];
}

const TABLES = [...REVISED_TABLES, 'edits', 'results', 'runs'] as const;
type Merging = Transaction<
  (RevisedTable | 'edits' | 'results' | 'runs' | 'chunks' | 'conflicts')[],
  'readwrite'
>;

const tally = (): Tally => ({ added: 0, renewed: 0, same: 0, older: 0 });

/** Puts the contents of a backup to what is kept, in one transaction. */
export function merge(db: IDBPDatabase<Schema>, contents: Contents): Promise<Restored> {
  const names = [...REVISED_TABLES, 'edits', 'results', 'runs', 'chunks', 'conflicts'] as const;
  return transact(db, [...names], 'readwrite', async (tx) => {
    const tables = Object.fromEntries(TABLES.map((name) => [name, tally()])) as Record<
      (typeof TABLES)[number],
      Tally
    >;
    const conflicts: Conflict[] = [];
    const clash = async (conflict: Conflict): Promise<void> => {
      // One that was met before is open still, or was settled.
      if ((await tx.objectStore('conflicts').getKey(conflict.id)) !== undefined) return;
      await tx.objectStore('conflicts').add(conflict);
      conflicts.push(conflict);
    };
    for (const table of REVISED_TABLES) {
      for (const record of contents.revised[table]) {
        await mergeRevised(tx, table, record, tables[table], clash);
      }
    }
    for (const [key, edits] of contents.edits) await mergeEdits(tx, key, edits, tables.edits, clash);
    for (const result of contents.results) {
      const there = await tx.objectStore('results').getKey(result.id);
      tables.results[there === undefined ? 'added' : 'same']++;
      if (there === undefined) await tx.objectStore('results').add(result);
    }
    for (const conflict of contents.conflicts) await clash(conflict);
    // A complete run makes unfinished ones of its clip needless.
    const runs = contents.runs.toSorted((a, b) => Number(b.run.complete) - Number(a.run.complete));
    for (const run of runs) tables.runs[await mergeRun(tx, run)]++;
    return { tables, conflicts };
  });
}

type Clash = (conflict: Conflict) => Promise<void>;

async function mergeRevised<T extends RevisedTable>(
  tx: Merging,
  table: T,
  theirs: RevisedTables[T],
  count: Tally,
  clash: Clash,
): Promise<void> {
  const key = idOf(theirs);
  const ours = (await tx.objectStore(table).get(key)) as RevisedTables[T] | undefined;
  const stands = ours ? standing(ours, theirs) : 'newer';
  if (stands === 'conflict') {
    return clash({ id: `${table}/${key}/${theirs.revisions.at(-1)}`, key, open: true, table, theirs });
  }
  if (stands === 'newer') await tx.objectStore(table).put(theirs);
  count[stands !== 'newer' ? stands : ours ? 'renewed' : 'added']++;
}

/** Edits are only ever added: of two lists of which one begins with the other, the longer one is the newer. */
async function mergeEdits(
  tx: Merging,
  key: string,
  theirs: readonly EditRecord[],
  count: Tally,
  clash: Clash,
): Promise<void> {
  const store = tx.objectStore('edits');
  const ours = await store.getAll(under(key));
  const agrees = (one: EditRecord, i: number): boolean => {
    const other = theirs[i];
    return !other || canonical(one.edit) === canonical(other.edit);
  };
  if (!ours.every(agrees)) {
    return clash({ id: `edits/${key}/${theirs.at(-1)?.id}`, key, open: true, table: 'edits', theirs });
  }
  const news = theirs.slice(ours.length);
  for (const edit of news) await store.add(edit);
  const stands = news.length > 0 ? (ours.length > 0 ? 'renewed' : 'added') : 'same';
  count[theirs.length < ours.length ? 'older' : stands]++;
}

/** Whether what was seen in a run is worth more than in the other: seen by newer code, or later. */
function isNewer(one: RunRecord, other: RunRecord): boolean {
  const by = (one.observationVersion ?? 0) - (other.observationVersion ?? 0);
  return by !== 0 ? by > 0 : (one.startedAt ?? '') > (other.startedAt ?? '');
}

/** One complete run of a clip's horse counts; unfinished ones are kept until there is one. */
async function mergeRun(tx: Merging, theirs: Run): Promise<keyof Tally> {
  const { run, chunks } = theirs;
  const runs = await tx.objectStore('runs').getAll(under(run.fingerprint));
  const ours = runs.find(({ id }) => id === run.id);
  if (ours) {
    const kept = await tx.objectStore('chunks').count(under(ours.fingerprint, ours.run));
    if (ours.complete || (!run.complete && chunks.length <= kept)) return 'same';
  }
  const whole = runs.find(({ complete }) => complete);
  if (whole && !(run.complete && isNewer(run, whole))) return 'older';
  for (const gone of [ours, whole]) if (gone) await forgetRun(tx, gone);
  const number = ours?.run ?? (runs.at(-1)?.run ?? 0) + 1;
  await tx.objectStore('runs').add({ ...run, run: number });
  for (const chunk of chunks) await tx.objectStore('chunks').add({ ...chunk, run: number });
  return ours || whole ? 'renewed' : 'added';
}
