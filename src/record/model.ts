/**
 * What is kept of a horse besides its clips. Dates are YYYY-MM-DD, moments ISO 8601 in UTC, lengths in m. Every link
 * (horseId, visitId, clipId) names a record that exists; nothing that is linked to is ever deleted.
 */
import type { EditRecord, StoredClip } from '../horse/schema.ts';
import type { ResultFile } from '../report/contract.ts';

export const SEXES = ['mare', 'stallion', 'gelding'] as const;
export type Sex = (typeof SEXES)[number];

export const HEIGHT_METHODS = ['stick', 'tape', 'papers', 'estimate'] as const;
/** How a height was had: measuring stick, tape, written in the horse's papers, by eye. */
export type HeightMethod = (typeof HEIGHT_METHODS)[number];

/** The history of a record: one random id a revision, the present one last. A record's revision number is its length. */
export interface Revised {
  readonly revisions: readonly string[];
}
export const revisionOf = ({ revisions }: Revised): number => revisions.length;

export interface Horse extends Revised {
  readonly id: string;
  /** As the user calls it. */
  readonly name: string;
  readonly birthDate: string | null;
  readonly sex: Sex | null;
  /** In the user's words; '' where not given. */
  readonly breedType: string;
  readonly note: string;
}

export interface HeightAt extends Revised {
  readonly id: string;
  readonly horseId: string;
  /** Height at the withers. */
  readonly heightM: number;
  readonly date: string;
  readonly how: HeightMethod;
}

/** A day on which a horse was filmed. */
export interface Visit extends Revised {
  readonly id: string;
  readonly horseId: string;
  readonly date: string;
  /** In the user's words; '' where not given. */
  readonly place: string;
}

/** Measures of a clip as they were at a moment. Never changed; its id is the SHA-256 of all of it but madeAt. */
export interface ResultRecord {
  readonly id: string;
  readonly clipId: string;
  /** Of the horse in the clip: see keyOf in src/horse/picks.ts. */
  readonly key: string;
  readonly madeAt: string;
  readonly toolVersion: string;
  readonly networkVersion: string;
  /** Null of runs kept before there was one. */
  readonly observationVersion: number | null;
  /** How many edits of this key were counted in. */
  readonly edits: number;
  /** Has the version of its own schema. */
  readonly file: ResultFile;
}

/** Records that are changed, each with the name of its table. */
export interface RevisedTables {
  horses: Horse;
  heights: HeightAt;
  visits: Visit;
  clips: StoredClip;
}
export type RevisedTable = keyof RevisedTables;
/** What is linked to comes first. */
export const REVISED_TABLES = ['horses', 'heights', 'visits', 'clips'] as const satisfies RevisedTable[];

export const idOf = (record: { readonly id: string } | { readonly fingerprint: string }): string =>
  'id' in record ? record.id : record.fingerprint;

/** Something that a restored backup and this browser have in two versions, neither made from the other. */
export type Conflict = {
  readonly id: string;
  /** Id of the record; of edits, their clip's key. */
  readonly key: string;
  /** False once the user has chosen. */
  readonly open: boolean;
} & (
  | { readonly table: RevisedTable; readonly theirs: RevisedTables[RevisedTable] }
  | { readonly table: 'edits'; readonly theirs: readonly EditRecord[] }
);
