import type { Interval, Untold } from './types.ts';
import { Z_975 } from './distributions.ts';

/**
 * Height at the withers as a share of the adult one, by age (eXtension Horses, US land-grant universities, "How can I
 * measure my colt to estimate its mature height"), good to 3 points.
 */
export const GROWTH_SHARES = [
  { months: 3, share: 0.73 },
  { months: 6, share: 0.82 },
  { months: 12, share: 0.89 },
  { months: 18, share: 0.95 },
  { months: 24, share: 0.97 },
] as const;
export const GROWTH_SHARE_ERROR = 0.03;

/** Share of the adult height, straight between the ages of the table; low and high are the table's error. */
export function shareOfAdultHeight(ageMonths: number): Interval | Untold<'outsideGrowthTable'> {
  const after = GROWTH_SHARES.findIndex(({ months }) => ageMonths <= months);
  const [a, b] = [GROWTH_SHARES[Math.max(0, after - 1)], GROWTH_SHARES[after]];
  if (!a || !b || !(ageMonths >= a.months)) return { reason: 'outsideGrowthTable' };
  const way = a === b ? 0 : (ageMonths - a.months) / (b.months - a.months);
  const value = a.share + way * (b.share - a.share);
  return { value, low: value - GROWTH_SHARE_ERROR, high: Math.min(1, value + GROWTH_SHARE_ERROR) };
}

/**
 * Expected adult height, m, of a height at the withers (m, with the SD of its measurement) at an age in months. Its
 * range is the table's error together with 1.96 SD of the measurement.
 */
export function expectedAdultHeightM(
  withersM: number,
  withersSdM: number,
  ageMonths: number,
): Interval | Untold<'outsideGrowthTable'> {
  const share = shareOfAdultHeight(ageMonths);
  if ('reason' in share) return share;
  const value = withersM / share.value;
  const measuring = (Z_975 * withersSdM) / share.value;
  return {
    value,
    low: value - Math.hypot(value - withersM / share.high, measuring),
    high: value + Math.hypot(withersM / share.low - value, measuring),
  };
}
