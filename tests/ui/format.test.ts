import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { MEASURE_NAMES, type Measured } from '../../src/gait/types.ts';
import {
  formatLeft,
  formatMeasured,
  formatNumber,
  formatSigned,
  handsOfMetres,
  metresOfHands,
  quantityOf,
} from '../../src/ui/format.ts';

const measured = (value: number, low: number, high: number): Measured => ({
  value,
  low,
  high,
  n: 3,
  side: 'left',
});
const NBSP = '\u00a0';

describe('a value with its interval', () => {
  it('is written as value, unit and interval', () => {
    expect(formatMeasured(measured(1.6812, 1.6139, 1.7502), quantityOf('strideLengthM', 'metric'))).toBe(
      `1.68${NBSP}m (1.61 to 1.75)`,
    );
    expect(formatMeasured(measured(-0.071, -0.102, -0.04), quantityOf('overtrackM', 'metric'))).toBe(
      `\u22127${NBSP}cm (\u221210 to \u22124)`,
    );
  });

  it('shows fewer decimals the wider the interval', () => {
    const duration = quantityOf('strideDurationS', 'metric');
    expect(formatMeasured(measured(1.1534, 1.1504, 1.1564), duration)).toBe(`1.153${NBSP}s (1.150 to 1.156)`);
    expect(formatMeasured(measured(1.1534, 0.9, 1.4), duration)).toBe(`1.2${NBSP}s (0.9 to 1.4)`);
    expect(formatMeasured(measured(0.62, 0.3, 0.94), quantityOf('dutyFactorFore', 'metric'))).toBe(
      `62${NBSP}% (30 to 94)`,
    );
  });

  it('has no interval where low and high are the same', () => {
    expect(formatMeasured(measured(0, 0, 0), quantityOf('dutyFactorFore', 'metric'))).toBe(`0${NBSP}%`);
  });

  it('changes units by the exact factors: inch 25.4 mm, mile an hour 0.44704 m/s (NIST SP 811, appendix B)', () => {
    expect(formatMeasured(measured(1.778, 1.7, 1.856), quantityOf('strideLengthM', 'imperial'))).toBe(
      `70${NBSP}in (67 to 73)`,
    );
    expect(formatMeasured(measured(1.34112, 1.3, 1.38224), quantityOf('speedMps', 'imperial'))).toBe(
      `3.00${NBSP}mph (2.91 to 3.09)`,
    );
  });

  it('never shows half an interval as nothing, unless the last decimal allowed is too coarse for it', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...MEASURE_NAMES),
        fc.constantFrom('metric' as const, 'imperial' as const),
        fc.double({ min: -2, max: 2, noNaN: true }),
        fc.double({ min: 0.001, max: 2, noNaN: true }),
        (name, units, value, half) => {
          const quantity = quantityOf(name, units);
          const text = formatMeasured(measured(value, value - half, value + half), quantity);
          const [low = NaN, high = NaN] = (/\((.*)\)/.exec(text)?.[1] ?? '')
            .replaceAll('\u2212', '-')
            .split(' to ')
            .map(Number);
          const coarse = 10 ** -quantity.maxDecimals;
          expect(Math.abs(high - low - 2 * half * quantity.factor)).toBeLessThanOrEqual(
            Math.max(half * quantity.factor * 0.5, coarse) + 1e-9,
          );
        },
      ),
    );
  });
});

describe('numbers', () => {
  it('have a true minus sign and no minus zero', () => {
    expect(formatNumber(-1.25, 1)).toBe('\u22121.3');
    expect(formatNumber(-0.04, 1)).toBe('0.0');
  });

  it('of either sign carry their sign', () => {
    expect(formatSigned(0.124, 'metric')).toBe(`+12${NBSP}cm`);
    expect(formatSigned(-0.07, 'metric')).toBe(`\u22127${NBSP}cm`);
    expect(formatSigned(0.001, 'metric')).toBe(`0${NBSP}cm`);
  });

  it('of time left do not flicker', () => {
    expect(formatLeft(3)).toBe('a few seconds left');
    expect(formatLeft(41)).toBe(formatLeft(44.9));
    expect(formatLeft(150)).toBe('about 3 minutes left');
  });
});

describe('hands', () => {
  it('are four inches: 16 hands are 64 inches, 1.6256 m', () => {
    expect(metresOfHands({ hands: 16, inches: 0 })).toBeCloseTo(1.6256, 10);
    expect(handsOfMetres(1.6256)).toEqual({ hands: 16, inches: 0 });
    expect(handsOfMetres(1.651)).toEqual({ hands: 16, inches: 1 });
  });

  it('come back to the quarter inch', () => {
    fc.assert(
      fc.property(fc.integer({ min: 80, max: 336 }), (quarters) => {
        const heightM = (quarters / 4) * 0.0254;
        expect(metresOfHands(handsOfMetres(heightM))).toBeCloseTo(heightM, 9);
      }),
    );
  });
});
