import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ageOn } from '../../src/stats/age.ts';
import { told } from './support.ts';

const DAY_MS = 86_400_000;
const dates = fc.date({ min: new Date('1900-01-01'), max: new Date('2199-12-31'), noInvalidDate: true });
const written = (date: Date): string => date.toISOString().slice(0, 10);

describe('age', () => {
  it('counts the days that the calendar of the platform counts', () => {
    fc.assert(
      fc.property(dates, dates, (a, b) => {
        const [birth, on] = [a, b].map(written).sort() as [string, string];
        expect(told(ageOn(birth, on)).days).toBe((Date.parse(on) - Date.parse(birth)) / DAY_MS);
      }),
      { seed: 1, numRuns: 300 },
    );
  });
  it('never falls from one day to the next', () => {
    fc.assert(
      fc.property(dates, fc.integer({ min: 0, max: 1500 }), (born, days) => {
        const [today, tomorrow] = [days, days + 1].map(
          (d) => told(ageOn(written(born), written(new Date(born.getTime() + d * DAY_MS)))).months,
        ) as [number, number];
        expect(tomorrow).toBeGreaterThan(today);
        expect(tomorrow - today).toBeLessThanOrEqual(1 / 28 + 1e-12);
      }),
      { seed: 2, numRuns: 300 },
    );
  });
  it.each([
    ['2023-04-17', '2023-04-17', 0, 0],
    ['2023-04-17', '2023-10-17', 183, 6],
    ['2023-04-17', '2024-04-17', 366, 12],
    // 2000 was a leap year, 2100 is none.
    ['2000-02-28', '2000-03-01', 2, 2 / 29],
    ['2100-02-28', '2100-03-01', 1, 1 / 28],
    // Born on the last of a long month: a month is over on the last of a short one.
    ['2023-01-31', '2023-02-28', 28, 1],
    ['2024-01-31', '2024-02-29', 29, 1],
    // Born on a leap day: birthdays on the 28th of February.
    ['2024-02-29', '2025-02-28', 365, 12],
    ['2024-02-29', '2028-02-29', 1461, 48],
    ['2023-05-10', '2023-06-09', 30, 30 / 31],
  ])('born %s, on %s: %d days, %f months', (birth, on, days, months) => {
    const age = told(ageOn(birth, on));
    expect(age.days).toBe(days);
    expect(age.months).toBeCloseTo(months, 12);
  });
  it.each([
    '2023-02-29',
    '1900-02-29',
    '2023-13-01',
    '2023-00-10',
    '2023-04-31',
    '23-04-17',
    '2023-4-17',
    '',
    '2023-04-17T00:00',
  ])('refuses %s', (text) => {
    expect(ageOn(text, '2030-01-01')).toEqual({ reason: 'notADate' });
    expect(ageOn('1890-01-01', text)).toEqual({ reason: 'notADate' });
  });
  it('refuses a day before the birth', () =>
    expect(ageOn('2024-01-02', '2024-01-01')).toEqual({ reason: 'beforeBirth' }));
});
