/**
 * The file of a backup: JSON, one record a line, in gzip (RFC 1952). What was seen in a clip is some MB of JSON: by
 * lines it is written and read without ever being one text, and gzip makes it small; `gunzip` shows what is in it.
 * First line: {format, schema, toolVersion, madeAt}. Then {table, record}. Last line: {records, sha256}, the digest of
 * all lines before it: d = SHA-256(d + "\n" + line), d = "" at first, in hex. gzip alone would notice a flipped bit,
 * but not a file that was put together anew.
 */
import { sha256Hex } from './digest.ts';
import { RECORD_SHAPES } from './recordShapes.ts';
import { BackupRefused } from './refusals.ts';
import { exactly, moment, one, text, whole } from './shapes.ts';

export const BACKUP_FORMAT = 'ledwalk-backup';

export interface Header {
  readonly format: typeof BACKUP_FORMAT;
  /** SCHEMA_VERSION of the page that wrote it. */
  readonly schema: number;
  readonly toolVersion: string;
  readonly madeAt: string;
}
export type Table = keyof typeof RECORD_SHAPES;
export interface Line {
  readonly table: Table;
  readonly record: unknown;
}

const isTable = (name: unknown): name is Table =>
  typeof name === 'string' && Object.hasOwn(RECORD_SHAPES, name);
const isHeader = exactly({
  ...{ format: one(BACKUP_FORMAT), schema: whole(1), toolVersion: text(200), madeAt: moment },
});

const link = (digest: string, line: string): Promise<string> => sha256Hex(`${digest}\n${line}`);

// JSON has no numbers beyond all bounds: they are written as {"$number": "Infinity"}.
const pack = (value: unknown): string =>
  JSON.stringify(value, (_key, part: unknown) =>
    typeof part === 'number' && !Number.isFinite(part) ? { $number: String(part) } : part,
  );
const unpack = (line: string): unknown =>
  line.includes('{"$number":')
    ? JSON.parse(line, (_key, part: unknown) => numberOf(part) ?? part)
    : JSON.parse(line);

function numberOf(part: unknown): number | null {
  if (typeof part !== 'object' || part === null || !('$number' in part)) return null;
  const name = part.$number;
  return name === 'Infinity' || name === '-Infinity' || name === 'NaN' ? Number(name) : null;
}

async function* linesOf(header: Header, records: AsyncIterable<Line>): AsyncGenerator<string> {
  let digest = '';
  let count = 0;
  const first = pack(header);
  digest = await link(digest, first);
  yield first;
  for await (const { table, record } of records) {
    const line = pack({ table, record });
    digest = await link(digest, line);
    count++;
    yield line;
  }
  yield pack({ records: count, sha256: digest });
}

/** Writes a backup file of these records. Rejects with what they reject with. */
export async function writeBackupFile(header: Header, records: AsyncIterable<Line>): Promise<Blob> {
  const lines = linesOf(header, records);
  const encoder = new TextEncoder();
  const bytes = new ReadableStream<Uint8Array<ArrayBuffer>>({
    async pull(controller) {
      const { done, value } = await lines.next();
      if (done) controller.close();
      else controller.enqueue(encoder.encode(`${value}\n`));
    },
  });
  const packed = bytes.pipeThrough(new CompressionStream('gzip'));
  return new Blob([await new Response(packed).blob()], { type: 'application/gzip' });
}

/** Lines of a gzipped text, the empty one after the last line end left out. */
async function* textLines(file: Blob, mostBytes: number): AsyncGenerator<string> {
  const reader = file.stream().pipeThrough(new DecompressionStream('gzip')).getReader();
  const decoder = new TextDecoder('utf-8', { fatal: true });
  const parts: string[] = [];
  let bytes = 0;
  try {
    for (let next = await reader.read(); !next.done; next = await reader.read()) {
      bytes += next.value.byteLength;
      if (bytes > mostBytes) throw new BackupRefused('tooLarge');
      const [head = '', ...more] = decoder.decode(next.value, { stream: true }).split('\n');
      parts.push(head);
      for (const part of more) {
        yield parts.join('');
        parts.length = 0;
        parts.push(part);
      }
    }
    parts.push(decoder.decode());
  } finally {
    await reader.cancel().catch(() => undefined);
  }
  const rest = parts.join('');
  if (rest !== '') yield rest;
}

/**
 * Every record of a backup file, each checked for its shape; whether the file is whole is known only once all are read.
 * Throws BackupRefused.
 */
export async function* readBackupFile(file: Blob, schema: number, mostBytes: number): AsyncGenerator<Line> {
  if (file.size === 0) throw new BackupRefused('empty');
  if (file.size > mostBytes) throw new BackupRefused('tooLarge');
  const [a, b] = new Uint8Array(await file.slice(0, 2).arrayBuffer());
  if (a !== 0x1f || b !== 0x8b) throw new BackupRefused('foreign', 'no gzip');
  let [digest, count, ended] = ['', 0, false];
  for await (const line of unbroken(textLines(file, mostBytes))) {
    const read = parsed(line, digest === '');
    if (ended) throw new BackupRefused('damaged', 'after the end');
    if (digest === '') mustBeHeader(read, schema);
    else if ('sha256' in read) {
      if (read['sha256'] !== digest || read['records'] !== count)
        throw new BackupRefused('damaged', 'checksum');
      ended = true;
    } else yield checkedLine(read, ++count);
    digest = await link(digest, line);
  }
  if (!ended) throw new BackupRefused(digest === '' ? 'foreign' : 'damaged', 'no end');
}

/** What breaks off the unpacking is damage. */
async function* unbroken(lines: AsyncGenerator<string>): AsyncGenerator<string> {
  try {
    yield* lines;
  } catch (error) {
    throw error instanceof BackupRefused ? error : new BackupRefused('damaged', 'gzip', error);
  }
}

function parsed(line: string, first: boolean): Record<string, unknown> {
  let value: unknown = null;
  try {
    value = unpack(line);
  } catch (error) {
    throw new BackupRefused(first ? 'foreign' : 'damaged', 'JSON', error);
  }
  if (typeof value === 'object' && value !== null) return value as Record<string, unknown>;
  throw new BackupRefused(first ? 'foreign' : 'damaged', 'JSON');
}

function mustBeHeader(read: Record<string, unknown>, schema: number): void {
  if (read['format'] !== BACKUP_FORMAT) throw new BackupRefused('foreign', 'format');
  // Of the header of a later version no more is known.
  if (Number(read['schema']) > schema) throw new BackupRefused('newer');
  // The first backups are of this version: those of older ones are to be brought up here once there are any.
  if (isHeader(read, '') !== null || read['schema'] !== schema) throw new BackupRefused('invalid', 'header');
}

function checkedLine({ table, record, ...more }: Record<string, unknown>, at: number): Line {
  if (!isTable(table) || Object.keys(more).length > 0) throw new BackupRefused('invalid', `record ${at}`);
  const fault = RECORD_SHAPES[table](record, table);
  if (fault !== null) throw new BackupRefused('invalid', `record ${at}: ${fault}`);
  return { table, record };
}
