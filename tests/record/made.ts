/** Records for tests, the look of a whole database, and what must always hold of one. */
import { openDB } from 'idb';
import { expect } from 'vitest';
import type { ClipInfo } from '../../src/clip/types.ts';
import { clipOf } from '../../src/horse/keys.ts';
import type { ClipRecord, EditRecord, RunRecord } from '../../src/horse/schema.ts';
import { SCHEMA_VERSION } from '../../src/horse/schema.ts';
import type { Edit } from '../../src/horse/edits.ts';
import { measure, type Observed } from '../../src/pipeline.ts';
import type { PoseFrame, View } from '../../src/pose/types.ts';
import type { Fields } from '../../src/record/book.ts';
import type { ResultRecord } from '../../src/record/model.ts';
import { RECORD_SHAPES } from '../../src/record/recordShapes.ts';
import { canonical } from '../../src/record/revisions.ts';
import { resultFile, type ResultFile } from '../../src/report/contract.ts';
import type { MotionStep } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { PICTURE } from '../track/synthetic.ts';
import { type Dump, dumpDatabase } from './databaseDump.ts';

export const VERSIONS = { networkVersion: '4', observationVersion: 5 };
export const clipId = (n: number): string => n.toString(16).padStart(2, '0').repeat(32);
export const idNo = (n: number): string => n.toString(16).padStart(32, '0');

export const clipRecord = (n: number, more: Partial<ClipRecord> = {}): ClipRecord => ({
  ...{ fingerprint: clipId(n), name: `walk ${n}.mp4`, sizeBytes: 1000 + n, withersM: 1.48, info: null },
  ...more,
});
export const horse = (name = 'Bay filly'): Fields<'horses'> => ({
  ...{ name, birthDate: '2024-05-01', sex: 'mare', breedType: 'warmblood', note: '' },
});
export const visit = (horseId: string, date = '2025-06-01'): Fields<'visits'> => ({
  ...{ horseId, date, place: 'home, lane' },
});
export const height = (horseId: string, heightM = 1.48): Fields<'heights'> => ({
  ...{ horseId, heightM, date: '2025-06-01', how: 'stick' },
});

export const drag = (id: string, x = 3): Edit => ({
  do: 'set',
  correction: { kind: 'point', id, timeS: 0.5, point: 'left_hind_hoof', x, y: 4 },
});

export const poses = (from: number, n: number): PoseFrame[] =>
  Array.from({ length: n }, (_, i) => ({
    timeS: (from + i) / 30,
    horse: {
      box: [1, 2, 300, 200],
      view: 'right',
      points: { withers: { x: from + i, y: 20.5, score: 0.9 } },
    },
    people: [],
    handlerFeet: [],
  }));
export const steps = (from: number, n: number): MotionStep[] =>
  Array.from({ length: n }, (_, i) => ({
    timeS: (from + i) / 30,
    toPrevious: { a: 1, b: 0, tx: 0, ty: 0 },
    inliers: 9,
    features: 10,
    ok: true,
    // As of a camera of which nothing is told.
    sdPx: Infinity,
  }));

/** A walk past of a computed horse. */
function observedWalk(): Observed {
  const frames = walk({ fps: 60, strides: 4, seed: 3 }).frames.map(({ timeS, horse: seen }): PoseFrame => ({
    timeS,
    horse: seen && { ...seen, view: seen.view as View },
    people: [],
    handlerFeet: [],
  }));
  const clip: ClipInfo = {
    ...{ name: 'walk.mp4', sizeBytes: 1, container: 'mp4', codec: 'h264', ...PICTURE },
    ...{ rotationDeg: 0, startS: 0, durationS: 5, meanFps: 60, decoder: 'webcodecs' },
  };
  return { clip, frames, motion: [], ending: null };
}

let measured: ResultFile | null = null;
/** Its result. */
export function walkFile(): ResultFile {
  if (measured) return measured;
  const seen = observedWalk();
  return (measured = resultFile(seen, measure(seen, [], 1.62), 1.62));
}

export const resultOf = (n: number, more: Partial<ResultRecord> = {}): Omit<ResultRecord, 'id'> => ({
  ...{ clipId: clipId(n), key: clipId(n), madeAt: '2025-06-01T10:00:00.000Z', toolVersion: '0.1.0' },
  ...{ ...VERSIONS, edits: 0, file: walkFile() },
  ...more,
});

/** All that a database holds, as text: the same for equal ones. */
export const lookOf = async (name: string): Promise<string> => canonical(await dumpDatabase(name));

const recordsOf = ({ stores }: Dump, name: string): readonly Record<string, string>[] =>
  (stores.find((store) => store.name === name)?.records ?? []) as readonly Record<string, string>[];

/** No orphan, no double, no hole; every record as it should look. */
export async function expectSound(name: string): Promise<void> {
  const dump = await dumpDatabase(name);
  expect(dump.version).toBe(SCHEMA_VERSION);
  const of = (table: string) => recordsOf(dump, table);
  const ids = (table: string, field = 'id') => new Set(of(table).map((record) => record[field]));
  for (const [table, shape] of Object.entries(RECORD_SHAPES)) {
    expect(of(table).flatMap((record) => shape(record, table) ?? [])).toEqual([]);
  }
  const links: [string, string, string][] = [
    ['heights', 'horseId', 'horses'],
    ['visits', 'horseId', 'horses'],
    ['clips', 'visitId', 'visits'],
  ];
  for (const [table, field, to] of links) {
    const known = ids(to);
    expect(of(table).filter((record) => record[field] !== null && !known.has(record[field]))).toEqual([]);
  }
  const clips = ids('clips', 'fingerprint');
  const owners = [
    ...of('results').map(({ key }) => clipOf(String(key))),
    ...[...of('runs'), ...of('edits')].map(({ fingerprint }) => clipOf(String(fingerprint))),
  ];
  expect(owners.filter((id) => !clips.has(id))).toEqual([]);
  expectEdits(of('edits') as unknown as EditRecord[]);
  expectRuns(of('runs') as unknown as RunRecord[], of('chunks'));
}

function expectEdits(edits: readonly EditRecord[]): void {
  expect(new Set(edits.map(({ id }) => id)).size).toBe(edits.length);
  const counts = new Map<string, number>();
  for (const { fingerprint, seq } of edits) {
    counts.set(fingerprint, (counts.get(fingerprint) ?? 0) + 1);
    expect(seq).toBe(counts.get(fingerprint));
  }
}

function expectRuns(runs: readonly RunRecord[], chunks: readonly Record<string, unknown>[]): void {
  const nameOf = (one: Record<string, unknown>): string =>
    `${String(one['fingerprint'])} ${String(one['run'])}`;
  const seen = new Map(runs.map((run) => [nameOf({ ...run }), 0]));
  expect(new Set(runs.map(({ id }) => id)).size).toBe(runs.length);
  for (const chunk of chunks) {
    const count = seen.get(nameOf(chunk));
    expect(chunk['chunk']).toBe(count);
    seen.set(nameOf(chunk), (count ?? NaN) + 1);
  }
  const whole = runs.filter(({ complete }) => complete).map(({ fingerprint }) => fingerprint);
  expect(new Set(whole).size).toBe(whole.length);
}

/** Revision ids of every record that has them. */
export async function revisionsIn(name: string): Promise<Map<string, readonly string[]>> {
  const db = await openDB(name);
  const found = new Map<string, readonly string[]>();
  for (const table of ['horses', 'heights', 'visits', 'clips']) {
    for (const record of await db.getAll(table)) {
      found.set(`${table} ${record.id ?? record.fingerprint}`, record.revisions);
    }
  }
  db.close();
  return found;
}
