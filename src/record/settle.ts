import { applyEdits, type Edit } from '../horse/edits.ts';
import { newId } from '../horse/ids.ts';
import { under } from '../horse/keys.ts';
import type { EditRecord } from '../horse/schema.ts';
import type { Transaction } from '../horse/transact.ts';
import type { Conflict, RevisedTable } from './model.ts';
import { canonical } from './revisions.ts';

type Settling = Transaction<(RevisedTable | 'edits' | 'conflicts')[], 'readwrite'>;

/** Writes what the user chose of a conflict: see HorseBook.settle. */
export async function settled(tx: Settling, conflict: Conflict, choice: 'ours' | 'theirs'): Promise<void> {
  if (conflict.table === 'edits') {
    if (choice === 'theirs') await editsSettled(tx, conflict.key, conflict.theirs);
    return;
  }
  const store = tx.objectStore(conflict.table);
  const ours = await store.get(conflict.key);
  if (!ours) return;
  const { theirs } = conflict;
  const both = [...new Set([...ours.revisions, ...theirs.revisions])];
  await store.put({ ...(choice === 'ours' ? ours : theirs), revisions: [...both, newId()] });
}

async function editsSettled(tx: Settling, key: string, theirs: readonly EditRecord[]): Promise<void> {
  const store = tx.objectStore('edits');
  const ours = await store.getAll(under(key));
  let seq = ours.at(-1)?.seq ?? 0;
  const edits = editsTowards(
    ours.map(({ edit }) => edit),
    theirs.map(({ edit }) => edit),
  );
  for (const edit of edits) await store.add({ fingerprint: key, seq: ++seq, id: newId(), edit });
}

/** What to add to our edits so that the corrections in force are theirs. Pure. */
export function editsTowards(ours: readonly Edit[], theirs: readonly Edit[]): Edit[] {
  const [now, wanted] = [applyEdits(ours).corrections, applyEdits(theirs).corrections];
  const has = (list: typeof now, one: (typeof now)[number]): boolean =>
    list.some((other) => canonical(other) === canonical(one));
  return [
    ...now.filter((one) => !has(wanted, one)).map(({ id }): Edit => ({ do: 'remove', id })),
    ...wanted.filter((one) => !has(now, one)).map((correction): Edit => ({ do: 'set', correction })),
  ];
}
