import fc from 'fast-check';
import { expect, it } from 'vitest';
import { firstFrom, nearestIndex } from '../../src/track/times.ts';

const rising = fc
  .array(fc.double({ min: -10, max: 10, noNaN: true }), { maxLength: 40 })
  .map((times) => times.sort((a, b) => a - b));
const anyTime = fc.double({ min: -12, max: 12, noNaN: true });

it('finds what a scan of all times finds', () => {
  fc.assert(
    fc.property(rising, anyTime, (times, timeS) => {
      const scanned = times.findIndex((t) => t >= timeS);
      expect(firstFrom(times, timeS)).toBe(scanned < 0 ? times.length : scanned);
      const least = Math.min(...times.map((t) => Math.abs(t - timeS)));
      if (times.length > 0) expect(Math.abs((times[nearestIndex(times, timeS)] ?? NaN) - timeS)).toBe(least);
    }),
    { seed: 5, numRuns: 300 },
  );
});

it('is 0 in an empty list', () => expect([firstFrom([], 1), nearestIndex([], 1)]).toEqual([0, 0]));
