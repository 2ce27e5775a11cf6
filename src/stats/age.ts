/** Ages between days of the Gregorian calendar, written YYYY-MM-DD: no clock, no time zone. */
import type { Untold } from './types.ts';

export interface Age {
  readonly days: number;
  /** Whole calendar months since birth and the share of the next one. */
  readonly months: number;
}

interface Day {
  readonly year: number;
  /** 1 - 12. */
  readonly month: number;
  readonly day: number;
}

const isLeap = (year: number): boolean => (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
const daysIn = (year: number, month: number): number =>
  month === 2 ? (isLeap(year) ? 29 : 28) : [4, 6, 9, 11].includes(month) ? 30 : 31;

function dayOf(text: string): Day | null {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text);
  if (!match) return null;
  const [year, month, day] = match.slice(1).map(Number) as [number, number, number];
  const isDay = month >= 1 && month <= 12 && day >= 1 && day <= daysIn(year, month);
  return isDay ? { year, month, day } : null;
}

/** Days since the first of March of the year 0, in years that begin with March, so that a leap day is a year's last. */
function dayNumber({ year, month, day }: Day): number {
  const y = month < 3 ? year - 1 : year;
  const leapDays = Math.floor(y / 4) - Math.floor(y / 100) + Math.floor(y / 400);
  // Months from March on have 31, 30, 31, 30, 31 days, over and over.
  const beforeMonth = Math.floor((153 * ((month + 9) % 12) + 2) / 5);
  return 365 * y + leapDays + beforeMonth + day - 1;
}

/** The day so many months later; the last of its month where that one is shorter. */
function monthsLater({ year, month, day }: Day, months: number): Day {
  const count = 12 * year + month - 1 + months;
  const [y, m] = [Math.floor(count / 12), (count % 12) + 1];
  return { year: y, month: m, day: Math.min(day, daysIn(y, m)) };
}

/** Age on a day. Both as YYYY-MM-DD. */
export function ageOn(birth: string, date: string): Age | Untold<'notADate' | 'beforeBirth'> {
  const [born, on] = [dayOf(birth), dayOf(date)];
  if (born === null || on === null) return { reason: 'notADate' };
  const days = dayNumber(on) - dayNumber(born);
  if (days < 0) return { reason: 'beforeBirth' };
  const reached = (months: number): number => dayNumber(monthsLater(born, months));
  const passed = 12 * (on.year - born.year) + on.month - born.month;
  const whole = reached(passed) <= dayNumber(on) ? passed : passed - 1;
  const share = (dayNumber(on) - reached(whole)) / (reached(whole + 1) - reached(whole));
  return { days, months: whole + share };
}
