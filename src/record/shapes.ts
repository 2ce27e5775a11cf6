/** Checks of data from outside. A check gives the path of the first thing that is wrong, or null. Pure. */
export type Check = (value: unknown, path: string) => string | null;

const when =
  (right: (value: unknown) => boolean): Check =>
  (value, path) =>
    right(value) ? null : path;

/** Numbers beyond all bounds too. */
export const number = when((value) => typeof value === 'number');
export const boolean = when((value) => typeof value === 'boolean');
export const between = (least: number, most: number): Check =>
  when((value) => typeof value === 'number' && value >= least && value <= most);
export const whole = (least: number): Check =>
  when((value) => Number.isSafeInteger(value) && (value as number) >= least);
export const text = (most: number, least = 0): Check =>
  when((value) => typeof value === 'string' && value.length >= least && value.length <= most);
export const matching = (pattern: RegExp): Check =>
  when((value) => typeof value === 'string' && pattern.test(value));
export const one = (...values: readonly unknown[]): Check => when((value) => values.includes(value));

/** A day of the calendar, YYYY-MM-DD. */
export const day = when(
  (value) =>
    typeof value === 'string' && /^\d{4}-\d{2}-\d{2}$/.test(value) && isMoment(`${value}T00:00:00.000Z`),
);
/** As Date.toISOString writes it. */
export const moment = when((value) => typeof value === 'string' && isMoment(value));

function isMoment(value: string): boolean {
  const date = new Date(value);
  return !Number.isNaN(date.valueOf()) && date.toISOString() === value;
}

export const orNull =
  (check: Check): Check =>
  (value, path) =>
    value === null ? null : check(value, path);

export const either =
  (...checks: readonly Check[]): Check =>
  (value, path) =>
    checks.some((check) => check(value, path) === null) ? null : path;

export const list =
  (check: Check, most = Infinity): Check =>
  (value, path) => {
    if (!Array.isArray(value) || value.length > most) return path;
    return firstFault(
      value.map(
        (item, i): Fault =>
          () =>
            check(item, `${path}[${i}]`),
      ),
    );
  };

export const tuple =
  (...checks: readonly Check[]): Check =>
  (value, path) =>
    Array.isArray(value) && value.length === checks.length
      ? firstFault(
          checks.map(
            (check, i): Fault =>
              () =>
                check(value[i], `${path}[${i}]`),
          ),
        )
      : path;

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

export const mapOf =
  (key: RegExp, check: Check): Check =>
  (value, path) => {
    if (!isObject(value)) return path;
    const faultOf = ([name, part]: [string, unknown]): Fault =>
      key.test(name) ? () => check(part, `${path}.${name}`) : () => path;
    return firstFault(Object.entries(value).map(faultOf));
  };

type Fields = Readonly<Record<string, Check>>;

/** An object of these fields and no others. */
export const exactly =
  (fields: Fields, optional: Fields = {}): Check =>
  (value, path) => {
    if (!isObject(value)) return path;
    const other = Object.keys(value).find(
      (key) => !Object.hasOwn(fields, key) && !Object.hasOwn(optional, key),
    );
    return other === undefined ? atLeast(fields, optional)(value, path) : `${path}.${other}`;
  };

/** An object of these fields; others don't matter. */
export const atLeast =
  (fields: Fields, optional: Fields = {}): Check =>
  (value, path) => {
    if (!isObject(value)) return path;
    const given = Object.entries(optional).filter(([key]) => value[key] !== undefined);
    return firstFault(
      [...Object.entries(fields), ...given].map(
        ([key, check]): Fault =>
          () =>
            Object.hasOwn(value, key) ? check(value[key], `${path}.${key}`) : `${path}.${key}`,
      ),
    );
  };

type Fault = () => string | null;

function firstFault(faults: readonly Fault[]): string | null {
  for (const fault of faults) {
    const path = fault();
    if (path !== null) return path;
  }
  return null;
}
