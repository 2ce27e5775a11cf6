import type { DBSchema, IDBPDatabase, IDBPTransaction, StoreNames } from 'idb';
import type { Ending } from '../clip/source.ts';
import type { Box, ClipInfo } from '../clip/types.ts';
import type { SeenBy } from '../observation.ts';
import type { PoseFrame } from '../pose/types.ts';
import type { MotionStep } from '../track/types.ts';
import type { Edit } from './edits.ts';

export interface ClipRecord {
  /** Fingerprint of the file's content. */
  readonly fingerprint: string;
  readonly name: string;
  readonly sizeBytes: number;
  /** Height at the withers with a stick, m; null when not given. */
  readonly withersM: number | null;
  readonly info: ClipInfo | null;
  /** The horse that the user meant, where it isn't the one found by itself. */
  readonly pick?: HorsePick | null;
  /** All horses that the user ever meant, the latest first; each has a run and corrections of its own. */
  readonly picks?: readonly HorsePick[];
}

/** A horse chosen by the user: the one in this box (picture px) of the frame at timeS; followed from there on. */
export interface HorsePick {
  readonly box: Box;
  readonly timeS: number;
}

/** One pass of the networks over a clip. */
export interface RunRecord extends SeenBy {
  readonly fingerprint: string;
  /** Rises with each run of this clip. */
  readonly run: number;
  readonly complete: boolean;
  /** How the reading of the file ended. */
  readonly ending?: Ending | null;
}

/** Some frames of a run, written as it goes. */
export interface ChunkRecord {
  readonly fingerprint: string;
  readonly run: number;
  readonly chunk: number;
  readonly frames: readonly PoseFrame[];
  readonly motion: readonly MotionStep[];
}

/** One edit of a clip; these records are added, never changed. */
export interface EditRecord {
  readonly fingerprint: string;
  readonly seq: number;
  readonly edit: Edit;
}

export interface Schema extends DBSchema {
  clips: { key: string; value: ClipRecord };
  runs: { key: [fingerprint: string, run: number]; value: RunRecord };
  chunks: { key: [fingerprint: string, run: number, chunk: number]; value: ChunkRecord };
  edits: { key: [fingerprint: string, seq: number]; value: EditRecord };
}

export type Upgrade = IDBPTransaction<Schema, StoreNames<Schema>[], 'versionchange'>;
export type Migration = (db: IDBPDatabase<Schema>, upgrade: Upgrade) => void | Promise<void>;

/** Migration k brings a database of version k to version k + 1. Released ones are never changed, only added to. */
export const MIGRATIONS: readonly Migration[] = [
  (db) => {
    db.createObjectStore('clips', { keyPath: 'fingerprint' });
    db.createObjectStore('runs', { keyPath: ['fingerprint', 'run'] });
    db.createObjectStore('chunks', { keyPath: ['fingerprint', 'run', 'chunk'] });
    db.createObjectStore('edits', { keyPath: ['fingerprint', 'seq'] });
  },
];
