/**
 * Results as a table for spreadsheets and statistics: one row per measure and pass, the newest result of each clip's
 * horse or every one kept. measures.schema.json says what each column is; the schema's name changes with any meaning.
 */
import type { IDBPDatabase } from 'idb';
import type { Schema, StoredClip } from '../horse/schema.ts';
import type { Store } from '../horse/store.ts';
import { transact } from '../horse/transact.ts';
import type { Measured } from '../gait/types.ts';
import { LIMBS } from '../points.ts';
import type { PassEntry } from '../report/contract.ts';
import type { Horse, ResultRecord, Visit } from './model.ts';

export const TABLE_SCHEMA = 'ledwalk-measures/1';

/** Null where not known; units are in the names of the columns and of the measures. */
export interface Row {
  readonly horseId: string | null;
  readonly horseName: string | null;
  readonly birthDate: string | null;
  readonly sex: string | null;
  readonly breedType: string | null;
  readonly visitId: string | null;
  readonly visitDate: string | null;
  readonly visitPlace: string | null;
  readonly clipFile: string;
  readonly clipSha256: string;
  readonly clipHorse: string;
  readonly resultId: string;
  readonly resultMadeAt: string;
  readonly toolVersion: string;
  readonly networkVersion: string;
  readonly observationVersion: number | null;
  readonly resultSchema: string;
  readonly withersM: number | null;
  readonly passNumber: number;
  readonly passKind: string;
  readonly passDirection: string | null;
  readonly passStartS: number;
  readonly passEndS: number;
  readonly passWarnings: string;
  readonly measure: string;
  readonly unit: string;
  readonly value: number | null;
  readonly low95: number | null;
  readonly high95: number | null;
  readonly n: number | null;
  readonly side: string | null;
  readonly reason: string | null;
}

export interface MeasureTable {
  readonly schema: typeof TABLE_SCHEMA;
  readonly madeAt: string;
  readonly rows: readonly Row[];
}

/** A result with what it is filed under. */
export interface Filed {
  readonly horse: Horse | null;
  readonly visit: Visit | null;
  readonly clip: StoredClip;
  readonly result: ResultRecord;
}

/** Ends of measures' names and their units. */
const UNITS = {
  Mps: 'm/s',
  PerMin: '1/min',
  Deg: 'deg',
  M: 'm',
  S: 's',
  H: 'withers height',
} as const;
const NO_NAMES: readonly string[] = [...LIMBS, 'left', 'right'];

/** Of shares, phases and other numbers without unit: 1. */
function unitOf(measure: string): string {
  const name = measure.split('.').findLast((part) => !NO_NAMES.includes(part)) ?? measure;
  return Object.entries(UNITS).find(([end]) => name.endsWith(end))?.[1] ?? '1';
}

type Told = Pick<Row, 'measure' | 'value' | 'low95' | 'high95' | 'n' | 'side' | 'reason'>;
const NOT_TOLD = { value: null, low95: null, high95: null, n: null, side: null, reason: null };

/** Measures in a tree of measures; a name is its way through the tree, with dots. */
function toldIn(part: unknown, measure = ''): Told[] {
  if (typeof part === 'number') return [{ ...NOT_TOLD, measure, value: part }];
  if (typeof part !== 'object' || part === null) return [];
  if ('reason' in part) return [{ ...NOT_TOLD, measure, reason: String(part.reason) }];
  if ('low' in part) {
    const { value, low, high, n, side } = part as Measured;
    return [{ ...NOT_TOLD, measure, value, low95: low, high95: high, n, side }];
  }
  return Object.entries(part).flatMap(([name, inner]) =>
    toldIn(inner, measure ? `${measure}.${name}` : name),
  );
}

/** Columns that all passes of a result share, and those that all measures of a pass do. */
type Common = Omit<Row, keyof OfPass | keyof Told | 'unit'>;
type OfPass = Pick<
  Row,
  'passNumber' | 'passKind' | 'passDirection' | 'passStartS' | 'passEndS' | 'passWarnings'
>;

function passRows(pass: PassEntry, index: number, common: Common): Row[] {
  if (!('measures' in pass)) return [];
  const side = pass.kind === 'side' ? pass : null;
  const told = [...toldIn(pass.measures), ...toldIn(side?.inWithersHeights)];
  const of: OfPass = {
    ...{ passNumber: index + 1, passKind: pass.kind, passDirection: side?.direction ?? null },
    ...{ passStartS: pass.startS, passEndS: pass.endS, passWarnings: side?.warnings.join(' ') ?? '' },
  };
  return told.map(({ measure, ...values }): Row => ({
    ...common,
    ...of,
    ...{ measure, unit: unitOf(measure) },
    ...values,
  }));
}

/** Rows of one result: passes in order of time, measures in the order of the result file. Pure. */
export function rowsOf({ horse, visit, clip, result }: Filed): Row[] {
  const common: Common = {
    ...{ horseId: horse?.id ?? null, horseName: horse?.name ?? null, birthDate: horse?.birthDate ?? null },
    ...{ sex: horse?.sex ?? null, breedType: horse?.breedType ?? null },
    ...{ visitId: visit?.id ?? null, visitDate: visit?.date ?? null, visitPlace: visit?.place ?? null },
    ...{
      clipFile: clip.name,
      clipSha256: clip.fingerprint,
      clipHorse: result.key.slice(clip.fingerprint.length),
    },
    ...{ resultId: result.id, resultMadeAt: result.madeAt, toolVersion: result.toolVersion },
    ...{ networkVersion: result.networkVersion, observationVersion: result.observationVersion },
    ...{ resultSchema: result.file.schema, withersM: result.file.clip.withersM },
  };
  return result.file.passes.flatMap((pass, i) => passRows(pass, i, common));
}

/** In the order of the file. */
export const COLUMNS = [
  ...(['horseId', 'horseName', 'birthDate', 'sex', 'breedType'] as const),
  ...(['visitId', 'visitDate', 'visitPlace', 'clipFile', 'clipSha256', 'clipHorse'] as const),
  ...(['resultId', 'resultMadeAt', 'toolVersion', 'networkVersion', 'observationVersion'] as const),
  ...(['resultSchema', 'withersM', 'passNumber', 'passKind', 'passDirection'] as const),
  ...(['passStartS', 'passEndS', 'passWarnings', 'measure', 'unit'] as const),
  ...(['value', 'low95', 'high95', 'n', 'side', 'reason'] as const),
] as const satisfies (keyof Row)[];

/** The newest result of each horse in each clip; all of them with `every`. By horse, date, clip and moment. */
export async function measureTable(
  { db }: Pick<Store, 'db'>,
  { every = false, now = new Date() } = {},
): Promise<MeasureTable> {
  const filed = (await allFiled(db)).sort((a, b) => (orderOf(a) < orderOf(b) ? -1 : 1));
  const newest = new Map(filed.map((one) => [one.result.key, one]));
  const rows = (every ? filed : [...newest.values()]).flatMap(rowsOf);
  return { schema: TABLE_SCHEMA, madeAt: now.toISOString(), rows };
}

const orderOf = ({ horse, visit, clip, result }: Filed): string =>
  [horse?.name, horse?.id, visit?.date, clip.name, result.key, result.madeAt, result.id].join('\n');

const allFiled = (db: IDBPDatabase<Schema>): Promise<Filed[]> =>
  transact(db, ['horses', 'visits', 'clips', 'results'], 'readonly', async (tx) => {
    const filed: Filed[] = [];
    for (const result of await tx.objectStore('results').getAll()) {
      const clip = await tx.objectStore('clips').get(result.clipId);
      if (!clip) continue;
      const visit = (clip.visitId && (await tx.objectStore('visits').get(clip.visitId))) || null;
      const horse = (visit && (await tx.objectStore('horses').get(visit.horseId))) || null;
      filed.push({ horse, visit, clip, result });
    }
    return filed;
  });
