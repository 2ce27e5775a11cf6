import 'fake-indexeddb/auto';
import { readFileSync } from 'node:fs';
import Ajv from 'ajv';
import fc from 'fast-check';
import { deleteDB } from 'idb';
import { beforeAll, describe, expect, it } from 'vitest';
import { MEASURE_NAMES } from '../../src/gait/types.ts';
import { openStore } from '../../src/horse/store.ts';
import { HorseBook } from '../../src/record/book.ts';
import { harmless, toCsv } from '../../src/record/csv.ts';
import { COLUMNS, type MeasureTable, measureTable, type Row } from '../../src/record/measureTable.ts';
import type { LineEntry } from '../../src/report/contract.ts';
import { root } from '../support/programs.ts';
import { clipId, clipRecord, horse, resultOf, visit, walkFile } from './made.ts';

const schema = JSON.parse(readFileSync(`${root}/src/record/measures.schema.json`, 'utf8'));
const NAME = 'ledwalk-export';
const NASTY = '=HYPERLINK("http://example.org"), filly\r\n"two"';

const measured = { value: -0.03, low: -0.05, high: -0.01, n: 4, side: 'both' } as const;
const hidden = { reason: 'pointHidden' } as const;
/** Every measure of a way away. */
const away: LineEntry = {
  ...{ kind: 'away', startS: 5, endS: 9, corrected: { points: 0 } },
  measures: {
    ...{ pathDriftDeg: measured, pathRmsM: measured, baseWidthForeM: measured, baseWidthHindM: hidden },
    hindOnForeM: { left: measured, right: hidden },
    swingOutM: { LH: measured, LF: measured, RH: hidden, RF: hidden },
    head: {
      toleranceM: 0.05,
      poll: { asideM: measured, leftShare: 0.2, rightShare: 0 },
      muzzle: { asideM: hidden },
    },
  },
};

let table: MeasureTable;
beforeAll(async () => {
  await deleteDB(NAME);
  const store = await openStore(NAME);
  const book = new HorseBook(store);
  const { id } = await book.add('horses', horse(NASTY));
  const day = await book.add('visits', { ...visit(id), place: '@home' });
  await store.putClip(clipRecord(1, { name: '-2+3.mp4' }));
  const clip = await book.get('clips', clipId(1));
  if (clip) await book.change('clips', clip, { visitId: day.id });
  await store.putClip(clipRecord(2));
  const file = walkFile();
  const stand = { kind: 'stand', startS: 4, endS: 5 } as const;
  await book.saveResult(resultOf(1, { toolVersion: '0.0.9', madeAt: '2025-05-01T10:00:00.000Z' }));
  await book.saveResult(resultOf(1, { file: { ...file, passes: [...file.passes, stand, away] } }));
  await book.saveResult(resultOf(2));
  table = await measureTable(store);
  expect((await measureTable(store, { every: true })).rows.length).toBeGreaterThan(table.rows.length);
  store.close();
});

/** The grammar of RFC 4180, section 2, and nothing else. */
function parseCsv(text: string): string[][] {
  const rows: string[][] = [];
  const field = /(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/y;
  let row: string[] = [];
  while (field.lastIndex < text.length) {
    const at = field.lastIndex;
    const found = field.exec(text);
    if (!found) throw new Error(`no CSV at ${at}`);
    row.push(found[1]?.replaceAll('""', '"') ?? found[2] ?? '');
    if (found[3] === ',') continue;
    rows.push(row);
    row = [];
  }
  return rows;
}

describe('the table of measures', () => {
  it('is as its schema says, and the schema has every column in order', () => {
    const check = new Ajv({ allErrors: true, allowUnionTypes: true }).compile(schema);
    expect(check(table), JSON.stringify(check.errors)).toBe(true);
    expect(Object.keys(schema.properties.rows.items.properties)).toEqual([...COLUMNS]);
    const [first] = table.rows;
    expect(Object.keys(first ?? {})).toEqual([...COLUMNS]);
    expect(check({ ...table, rows: [{ ...first, visitDate: '1.6.2025' }] })).toBe(false);
    expect(check({ ...table, rows: [{ ...first, value: null, reason: null }] })).toBe(false);
  });

  it('has one row per measure and pass, of the newest result of each clip', () => {
    const of = (n: number) => table.rows.filter(({ clipSha256 }) => clipSha256 === clipId(n));
    const names = of(2).map(({ measure }) => measure);
    // The measures of a walk past, four phases, and those in withers heights.
    expect(names).toEqual(
      expect.arrayContaining([...MEASURE_NAMES, 'limbPhaseFraction.LH', 'strideLengthH']),
    );
    expect(new Set(names).size).toBe(names.length);
    expect(new Set(of(1).map(({ toolVersion }) => toolVersion))).toEqual(new Set(['0.1.0']));
    expect(new Set(of(1).map(({ passNumber, passKind }) => `${passNumber} ${passKind}`))).toEqual(
      new Set(['1 side', '3 away']),
    );
    expect(of(1)[0]).toMatchObject({ horseName: NASTY, visitDate: '2025-06-01', visitPlace: '@home' });
    expect(of(2)[0]).toMatchObject({ horseName: null, visitDate: null });
    const row = (name: string): Row | undefined => of(1).find(({ measure }) => measure === name);
    expect(row('swingOutM.LH')).toMatchObject({
      value: -0.03,
      low95: -0.05,
      high95: -0.01,
      n: 4,
      reason: null,
    });
    expect(row('swingOutM.RF')).toMatchObject({ value: null, n: null, reason: 'pointHidden' });
    expect(row('head.toleranceM')).toMatchObject({ value: 0.05, low95: null, unit: 'm' });
  });

  it.each([
    ['strideLengthM', 'm'],
    ['strideDurationS', 's'],
    ['cadencePerMin', '1/min'],
    ['speedMps', 'm/s'],
    ['lateralLagFraction', '1'],
    ['limbPhaseFraction.LH', '1'],
    ['dutyFactorFore', '1'],
    ['froude', '1'],
    ['strideLengthH', 'withers height'],
    ['pathDriftDeg', 'deg'],
    ['hindOnForeM.left', 'm'],
    ['head.poll.asideM', 'm'],
    ['head.poll.leftShare', '1'],
  ])('%s is in %s', (measure, unit) => {
    expect(table.rows.find((row) => row.measure === measure)?.unit).toBe(unit);
  });
});

describe('the same as CSV', () => {
  it('is by RFC 4180, and gives the table again', () => {
    const [head, ...rows] = parseCsv(toCsv(table));
    expect(head).toEqual([...COLUMNS]);
    expect(rows).toHaveLength(table.rows.length);
    rows.forEach((cells, i) => {
      const row = table.rows[i] as Row;
      expect(cells).toHaveLength(COLUMNS.length);
      COLUMNS.forEach((name, j) => {
        const cell = cells[j] as string;
        const value = row[name];
        expect(typeof value === 'number' ? Number(cell) : cell.replace(/^'/, '')).toBe(value ?? '');
      });
    });
  });

  it('quotes as the examples of RFC 4180 do', () => {
    // Section 2, rules 5 to 7 (the examples from memory): "b CRLF bb" and "b""bb" in quotes.
    const row = { ...(table.rows[0] as Row), horseName: 'b\r\nbb', breedType: 'b"bb', visitPlace: 'a,b' };
    const text = toCsv({ rows: [row] });
    for (const cell of ['"b\r\nbb"', '"b""bb"', '"a,b"']) expect(text).toContain(`,${cell},`);
    expect(text.endsWith('\r\n')).toBe(true);
  });

  // The characters that begin a formula: OWASP, "CSV Injection".
  it.each(['=1+1', '+1', '-1+2', '@SUM(A1)', '\t=1', '\r=1', ' =1', '＝1', "'=1"])(
    'keeps %j from being computed',
    (text) => {
      expect(harmless(text)).toBe(`'${text}`);
    },
  );

  it('never has a cell of text that begins a formula, and loses nothing of any text', () => {
    fc.assert(
      fc.property(
        fc.oneof(fc.string(), fc.string({ unit: fc.constantFrom(...'=+-@\t\r\n\'", a') })),
        (text) => {
          const row = { ...(table.rows[0] as Row), horseName: text };
          const cell = parseCsv(toCsv({ rows: [row] }))[1]?.[COLUMNS.indexOf('horseName')] ?? '';
          expect(cell).not.toMatch(/^\s*[=+\-@]/);
          expect(cell.startsWith("'") ? cell.slice(1) : cell).toBe(text);
        },
      ),
      { seed: 3 },
    );
    expect(harmless('Bay filly')).toBe('Bay filly');
    // A number is one.
    expect(toCsv(table)).toContain(',-0.03,');
  });
});
