/** What is in a backup, read whole and checked: no record twice, no link to nothing. */
import { clipOf } from '../horse/keys.ts';
import type { ChunkRecord, EditRecord, RunRecord } from '../horse/schema.ts';
import type { Line } from './backupFile.ts';
import { resultId } from './book.ts';
import { type Conflict, idOf, type ResultRecord, type RevisedTables } from './model.ts';
import { BackupRefused } from './refusals.ts';

export interface Run {
  readonly run: RunRecord;
  readonly chunks: readonly ChunkRecord[];
}

export interface Contents {
  readonly revised: { readonly [T in keyof RevisedTables]: readonly RevisedTables[T][] };
  /** In order, by key. */
  readonly edits: ReadonlyMap<string, readonly EditRecord[]>;
  readonly results: readonly ResultRecord[];
  readonly conflicts: readonly Conflict[];
  readonly runs: readonly Run[];
}

/** Throws BackupRefused invalid, or what the lines throw. */
export async function contentsOf(lines: AsyncIterable<Line>): Promise<Contents> {
  const all: Record<string, unknown[]> = {};
  for await (const { table, record } of lines) (all[table] ??= []).push(record);
  const of = <T>(table: string): T[] => (all[table] ?? []) as T[];
  const contents: Contents = {
    revised: {
      horses: of('horses'),
      heights: of('heights'),
      visits: of('visits'),
      clips: of('clips'),
    },
    edits: byKey(of('edits')),
    results: of('results'),
    conflicts: of('conflicts'),
    runs: runsOf(of('runs'), of('chunks')),
  };
  mustHold(contents);
  for (const result of contents.results) {
    if ((await resultId(result)) !== result.id) throw new BackupRefused('invalid', 'results.id');
  }
  return contents;
}

function byKey(edits: readonly EditRecord[]): Map<string, EditRecord[]> {
  const lists = new Map<string, EditRecord[]>();
  for (const edit of edits) {
    const list = lists.get(edit.fingerprint);
    if (list) list.push(edit);
    else lists.set(edit.fingerprint, [edit]);
  }
  return lists;
}

function runsOf(runs: readonly RunRecord[], chunks: readonly ChunkRecord[]): Run[] {
  const nameOf = ({ fingerprint, run }: RunRecord | ChunkRecord): string => `${run} ${fingerprint}`;
  const byName = new Map(runs.map((run) => [nameOf(run), { run, chunks: [] as ChunkRecord[] }]));
  if (byName.size < runs.length) throw new BackupRefused('invalid', 'runs twice');
  for (const chunk of chunks) {
    const of = byName.get(nameOf(chunk))?.chunks;
    if (!of || of.length !== chunk.chunk) throw new BackupRefused('invalid', 'chunks out of order');
    of.push(chunk);
  }
  return [...byName.values()];
}

function mustHold({ revised, edits, results, conflicts, runs }: Contents): void {
  const [horses, visits, clips] = [ids(revised.horses), ids(revised.visits), ids(revised.clips)];
  const links: [string, ReadonlySet<string>, readonly (string | null)[]][] = [
    ['heights.horseId', horses, revised.heights.map(({ horseId }) => horseId)],
    ['visits.horseId', horses, revised.visits.map(({ horseId }) => horseId)],
    ['clips.visitId', visits, revised.clips.map(({ visitId }) => visitId)],
    ['edits.fingerprint', clips, [...edits.keys()].map(clipOf)],
    ['results.clipId', clips, results.map(({ clipId }) => clipId)],
    ['results.key', clips, results.map(({ key }) => clipOf(key))],
    ['runs.fingerprint', clips, runs.map(({ run }) => clipOf(run.fingerprint))],
    [
      'conflicts.theirs',
      horses,
      conflicts.map(({ theirs }) => ('horseId' in theirs ? theirs.horseId : null)),
    ],
    [
      'conflicts.theirs',
      visits,
      conflicts.map(({ theirs }) => ('visitId' in theirs ? theirs.visitId : null)),
    ],
  ];
  for (const [where, known, given] of links) {
    if (given.some((id) => id !== null && !known.has(id))) throw new BackupRefused('invalid', where);
  }
  ids(revised.heights);
  ids(results);
  ids(conflicts);
  ids([...edits.values()].flat());
  ids(runs.map(({ run }) => ({ id: run.id })));
  for (const list of edits.values()) {
    if (list.some(({ seq }, i) => seq !== i + 1)) throw new BackupRefused('invalid', 'edits.seq');
  }
}

function ids(records: readonly ({ readonly id: string } | { readonly fingerprint: string })[]): Set<string> {
  const found = new Set(records.map(idOf));
  if (found.size < records.length) throw new BackupRefused('invalid', 'twice');
  return found;
}
