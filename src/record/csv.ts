/** Comma-separated values by RFC 4180, for the table of measures. Pure. */
import { COLUMNS, type MeasureTable } from './measureTable.ts';

/**
 * What spreadsheets take for the beginning of a formula (OWASP, "CSV Injection": = + - @ tab, carriage return, the wide
 * forms of the same), also after blanks; and the mark put before it, so that taking one mark away gives the text again.
 */
const FORMULA = /^(\s*[=+\-@＝＋－＠]|[\t\r\n'])/;

/** The text as a cell that no spreadsheet computes: with a ' before it where it looks like a formula. */
export const harmless = (text: string): string => (FORMULA.test(text) ? `'${text}` : text);

const quoted = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

const cell = (value: string | number | null): string =>
  value === null ? '' : typeof value === 'number' ? String(value) : quoted(harmless(value));

/**
 * The table with a line of column names; lines end in CRLF, nothing known is an empty cell, numbers have a decimal
 * point. The columns are those of the JSON export: measures.schema.json.
 */
export const toCsv = ({ rows }: Pick<MeasureTable, 'rows'>): string =>
  [COLUMNS, ...rows.map((row) => COLUMNS.map((name) => cell(row[name])))]
    .map((line) => `${line.join(',')}\r\n`)
    .join('');
