import type { Measured, MeasureName } from '../gait/types.ts';

export type Units = 'metric' | 'imperial';

/** How a quantity is shown: shown number = inside number x factor. */
export interface Quantity {
  readonly unit: string;
  readonly factor: number;
  /** Decimals where no interval says how many make sense, and at most that many where one does. */
  readonly decimals: number;
  readonly maxDecimals: number;
}

const INCH_M = 0.0254;
const FOOT_M = 12 * INCH_M;
const HAND_IN = 4;
const MPS_PER_MPH = 0.44704;
const MINUS = '\u2212';
const NARROW_SPACE = '\u202f';

const long: Record<Units, Quantity> = {
  metric: { unit: 'm', factor: 1, decimals: 2, maxDecimals: 2 },
  imperial: { unit: 'in', factor: 1 / INCH_M, decimals: 0, maxDecimals: 1 },
};
export const SHORT_LENGTH: Record<Units, Quantity> = {
  metric: { unit: 'cm', factor: 100, decimals: 0, maxDecimals: 1 },
  imperial: { unit: 'in', factor: 1 / INCH_M, decimals: 1, maxDecimals: 1 },
};
/** A distance on the ground that somebody measured. */
export const DISTANCE: Record<Units, Quantity> = {
  metric: { unit: 'm', factor: 1, decimals: 2, maxDecimals: 2 },
  imperial: { unit: 'ft', factor: 1 / FOOT_M, decimals: 2, maxDecimals: 2 },
};
const speed: Record<Units, Quantity> = {
  metric: { unit: 'm/s', factor: 1, decimals: 2, maxDecimals: 2 },
  imperial: { unit: 'mph', factor: 1 / MPS_PER_MPH, decimals: 1, maxDecimals: 2 },
};
const time: Quantity = { unit: 's', factor: 1, decimals: 2, maxDecimals: 3 };
export const SHARE: Quantity = { unit: '%', factor: 100, decimals: 0, maxDecimals: 1 };
/** A length where no height was typed in. */
export const IN_WITHERS_HEIGHTS: Quantity = {
  unit: '% of the withers height',
  factor: 100,
  decimals: 0,
  maxDecimals: 1,
};
export const DEGREES: Quantity = { unit: '\u00b0', factor: 1, decimals: 1, maxDecimals: 1 };
const perMinute: Quantity = { unit: 'a minute', factor: 1, decimals: 0, maxDecimals: 1 };
const plain: Quantity = { unit: '', factor: 1, decimals: 2, maxDecimals: 3 };

export function quantityOf(name: MeasureName, units: Units): Quantity {
  switch (name) {
    case 'strideLengthM':
      return long[units];
    case 'overtrackM':
    case 'headAboveWithersM':
    case 'headNodM':
    case 'croupAboveWithersM':
      return SHORT_LENGTH[units];
    case 'speedMps':
      return speed[units];
    case 'strideDurationS':
      return time;
    case 'cadencePerMin':
      return perMinute;
    case 'lateralLagFraction':
    case 'dutyFactorFore':
    case 'dutyFactorHind':
      return SHARE;
    case 'froude':
      return plain;
  }
}

/** Decimals at which half the interval's width is at least two and fewer than twenty steps of the last digit. */
function decimalsFor(low: number, high: number, quantity: Quantity): number {
  const half = ((high - low) / 2) * quantity.factor;
  if (!(half > 0) || !Number.isFinite(half)) return quantity.decimals;
  return Math.min(Math.max(-Math.floor(Math.log10(half / 2)), 0), quantity.maxDecimals);
}

/** A rounded number with a true minus sign, and never "minus zero". */
export function formatNumber(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

export interface Shown {
  /** "1.68 m" */
  readonly value: string;
  /** "1.61 to 1.75"; null where the value is exact by definition. */
  readonly interval: string | null;
}

/** Value and 95 % interval, rounded to what the interval's size makes sense of. */
export function showMeasured(measured: Measured, quantity: Quantity): Shown {
  const { value, low, high } = measured;
  const decimals = decimalsFor(low, high, quantity);
  const shown = (x: number) => formatNumber(x * quantity.factor, decimals);
  return {
    value: withUnit(shown(value), quantity.unit),
    interval: high > low ? `${shown(low)} to ${shown(high)}` : null,
  };
}

export function formatMeasured(measured: Measured, quantity: Quantity): string {
  const { value, interval } = showMeasured(measured, quantity);
  return interval === null ? value : `${value} (${interval})`;
}

export function withUnit(number: string, unit: string): string {
  return unit === '' || unit === DEGREES.unit ? number + unit : `${number}\u00a0${unit}`;
}

/** What a quantity that goes two ways is called where it is positive and where it is negative. */
export type Ways = readonly [positive: string, negative: string];

/** The size of a quantity that goes two ways, and which way it goes; the interval is counted that way too. */
export function showSided(measured: Measured, quantity: Quantity, ways: Ways): Shown {
  const back = measured.value < 0;
  const { value, low, high } = measured;
  const forth = back ? { ...measured, value: -value, low: -high, high: -low } : measured;
  const shown = showMeasured(forth, quantity);
  return { ...shown, value: `${shown.value} ${ways[back ? 1 : 0]}` };
}

/** A length that may be of either sign, the plus sign written out: "+12 cm". */
export function formatSigned(valueM: number, units: Units): string {
  const quantity = SHORT_LENGTH[units];
  const number = formatNumber(valueM * quantity.factor, quantity.decimals);
  return withUnit(valueM > 0 && Number(number) !== 0 ? `+${number}` : number, quantity.unit);
}

/** "3.00 m" or "9.84 ft" */
export function formatDistance(distanceM: number, units: Units): string {
  const { unit, factor, decimals } = DISTANCE[units];
  return withUnit(formatNumber(distanceM * factor, decimals), unit);
}

/** Height at the withers as it was typed in: "162.5 cm" or "15 hands 2.25 inches". */
export function formatTyped(heightM: number, units: Units): string {
  if (units === 'metric') return withUnit(String(Math.round(heightM * 1000) / 10), 'cm');
  const { hands, inches } = handsOfMetres(heightM);
  return `${withUnit(String(hands), 'hands')} ${withUnit(String(inches), 'inches')}`;
}

/** Height at the withers where it was not typed in: "1.58 m" or "15 hands 2 inches", to the inch. */
export function formatHeight(heightM: number, units: Units): string {
  if (units === 'metric') return withUnit(formatNumber(heightM, 2), 'm');
  const { hands, inches } = handsOfMetres(Math.round(heightM / INCH_M) * INCH_M);
  return `${hands} hands${inches === 0 ? '' : ` ${inches} ${inches === 1 ? 'inch' : 'inches'}`}`;
}

/** Seconds from the start of the clip: "1.283 s". */
export const formatTime = (timeS: number): string => withUnit(timeS.toFixed(3), 's');

/** "about 20 s left", in steps that do not flicker. */
export function formatLeft(secondsLeft: number): string {
  if (secondsLeft < 5) return 'a few seconds left';
  if (secondsLeft < 90) return `about ${Math.ceil(secondsLeft / 5) * 5}${NARROW_SPACE}s left`;
  return `about ${Math.ceil(secondsLeft / 60)} minutes left`;
}

export const formatSize = (bytes: number): string =>
  bytes < 1e6
    ? `${Math.max(1, Math.round(bytes / 1e3))}${NARROW_SPACE}kB`
    : `${(bytes / 1e6).toFixed(bytes < 1e7 ? 1 : 0)}${NARROW_SPACE}MB`;

/** Height in the trade's hands: a hand is 4 inches, and the figure after the point counts inches. */
export interface Hands {
  readonly hands: number;
  readonly inches: number;
}

export const metresOfHands = ({ hands, inches }: Hands): number => (hands * HAND_IN + inches) * INCH_M;

/** To the quarter inch. */
export function handsOfMetres(heightM: number): Hands {
  const inches = Math.round((heightM / INCH_M) * 4) / 4;
  const hands = Math.floor(inches / HAND_IN);
  return { hands, inches: inches - hands * HAND_IN };
}
