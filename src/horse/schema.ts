import type { DBSchema, IDBPDatabase, IDBPTransaction, StoreNames } from 'idb';
import type { Ending } from '../clip/source.ts';
import type { Box, ClipInfo } from '../clip/types.ts';
import type { SeenBy } from '../observation.ts';
import type { PoseFrame } from '../pose/types.ts';
import type { Conflict, HeightAt, Horse, ResultRecord, Revised, Visit } from '../record/model.ts';
import type { MotionStep } from '../track/types.ts';
import type { Edit } from './edits.ts';
import { firstSchema, theRecord } from './migrations.ts';

export interface ClipRecord {
  /** Of the file's content: see src/clip/fingerprint.ts. */
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

/** A clip and where it is filed. One of revision 0 is known by its fingerprint alone: its reading was broken off. */
export interface StoredClip extends ClipRecord, Revised {
  readonly visitId: string | null;
}

/** A horse chosen by the user: the one in this box (picture px) of the frame at timeS; followed from there on. */
export interface HorsePick {
  readonly box: Box;
  readonly timeS: number;
}

/** One pass of the networks over a clip. */
export interface RunRecord extends SeenBy {
  readonly fingerprint: string;
  /** Rises with each run of this clip in this browser. */
  readonly run: number;
  /** The same in every browser that the run is restored to. */
  readonly id: string;
  /** ISO 8601, UTC; null of runs kept before this was. */
  readonly startedAt: string | null;
  readonly complete: boolean;
  /** How the reading of the file ended. */
  readonly ending?: Ending | null;
}

/** Some frames of a run, written as it goes; chunks count from 0 without a gap. */
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
  /** A second try at the same edit has the same id, and adds nothing. */
  readonly id: string;
  readonly edit: Edit;
}

/** How this browser finds the clip's file again. Another browser can't: not in backups. */
export interface HandleRecord {
  readonly fingerprint: string;
  readonly handle: FileSystemFileHandle;
}

export interface Schema extends DBSchema {
  clips: { key: string; value: StoredClip; indexes: { visit: string } };
  runs: { key: [fingerprint: string, run: number]; value: RunRecord; indexes: { id: string } };
  chunks: { key: [fingerprint: string, run: number, chunk: number]; value: ChunkRecord };
  edits: { key: [fingerprint: string, seq: number]; value: EditRecord; indexes: { id: string } };
  horses: { key: string; value: Horse };
  heights: { key: string; value: HeightAt; indexes: { horse: string } };
  visits: { key: string; value: Visit; indexes: { horse: string } };
  results: { key: string; value: ResultRecord; indexes: { clip: string } };
  conflicts: { key: string; value: Conflict };
  handles: { key: string; value: HandleRecord };
}

export type Upgrade = IDBPTransaction<Schema, StoreNames<Schema>[], 'versionchange'>;
export type Migration = (db: IDBPDatabase<Schema>, upgrade: Upgrade) => void | Promise<void>;

/** Migration k brings a database of version k to version k + 1. Released ones are never changed, only added to. */
export const MIGRATIONS: readonly Migration[] = [firstSchema, theRecord];

/** Of the database as this page has it. */
export const SCHEMA_VERSION = MIGRATIONS.length;
