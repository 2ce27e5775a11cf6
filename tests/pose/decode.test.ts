import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cellToPx, decodePeak, meanWithMirrored, unfolded, type Heatmaps } from '../../src/pose/decode.ts';
import { keypointSimilarity } from '../oracles/keypoints.ts';

function gaussian(x: number, y: number, sigma: number, channels = 1, channel = 0, size = 64): Heatmaps {
  const data = new Float32Array(size * size * channels);
  for (let j = 0; j < size; j++) {
    for (let i = 0; i < size; i++) {
      data[(j * size + i) * channels + channel] = Math.exp(
        -((i - x) ** 2 + (j - y) ** 2) / (2 * sigma * sigma),
      );
    }
  }
  return { data, height: size, width: size, channels };
}

// Zhang et al. 2020, Distribution-aware coordinate representation for human pose estimation: exact for a
// Gaussian; the quarter-cell rule is off by up to a quarter of a cell.
describe('sub-cell decoding', () => {
  it('finds a Gaussian of sigma 2 at (20.3, 17.62) to 1e-6', () => {
    const peak = decodePeak(gaussian(20.3, 17.62, 2), 0);
    expect(Math.abs(peak.x - 20.3)).toBeLessThan(1e-6);
    expect(Math.abs(peak.y - 17.62)).toBeLessThan(1e-6);
  });

  it('gives (20.25, 17.75) by the quarter-cell rule', () => {
    const peak = decodePeak(gaussian(20.3, 17.62, 2), 0, 'quarter');
    expect([peak.x, peak.y]).toEqual([20.25, 17.75]);
  });

  it('finds any Gaussian away from the border, in any channel', () => {
    const inner = fc.double({ min: 2, max: 61, noNaN: true });
    fc.assert(
      fc.property(inner, inner, fc.double({ min: 1, max: 3, noNaN: true }), (x, y, sigma) => {
        const peak = decodePeak(gaussian(x, y, sigma, 3, 1), 1);
        // The map is stored in single precision: 1e-4 of a cell.
        return Math.hypot(peak.x - x, peak.y - y) < 1e-4;
      }),
      { numRuns: 60, seed: 7 },
    );
  });

  it('stays inside the map and finite at the border and on a flat map', () => {
    for (const maps of [gaussian(0, 63, 2), gaussian(-3, 20, 2), gaussian(500, 500, 2)]) {
      const peak = decodePeak(maps, 0);
      expect(Number.isFinite(peak.x) && Number.isFinite(peak.y)).toBe(true);
      expect(Math.abs(peak.x - 31.5)).toBeLessThan(32.5);
    }
  });

  it('puts the middle of the map in the middle of the input', () => {
    expect(cellToPx(31.5, 4)).toBe(127.5);
    expect(cellToPx(0, 4)).toBe(1.5);
  });

  it('averages with the mirrored picture: a symmetric pair comes out where it was', () => {
    const maps = gaussian(20.3, 17.62, 2, 2, 0);
    const mirrored = gaussian(63 - 20.3, 17.62, 2, 2, 1);
    const mean = meanWithMirrored(maps, mirrored, [1, 0]);
    const peak = decodePeak(mean, 0);
    expect(peak.x).toBeCloseTo(20.3, 5);
    expect(peak.score).toBeCloseTo(decodePeak(maps, 0).score, 6);
  });
});

// COCO keypoint evaluation (cocodataset.org, "Keypoint evaluation"): d = 1, 2, 3 sigma sqrt(area).
describe('object keypoint similarity', () => {
  it.each([
    [1, 0.8825],
    [2, 0.6065],
    [3, 0.3247],
  ])('%d sigma away gives %f', (sigmas, expected) => {
    // exp(-1/8), exp(-1/2), exp(-9/8).
    const sigma = 0.107;
    const value = keypointSimilarity(sigmas * sigma * Math.sqrt(4000), sigma, 4000);
    expect(Math.abs(value - expected)).toBeLessThan(1e-4);
  });
});

it('lays the cells of folded maps out one by one', () => {
  // Two channels, 4 x 2 cells as 2 x 1 squares of 2 x 2; a value is 100 channel + 10 row + column.
  const at = (channel: number, row: number, column: number): number => 100 * channel + 10 * row + column;
  const square = (s: number): number[] =>
    [0, 1].flatMap((row) => [2 * s, 2 * s + 1].flatMap((x) => [at(0, row, x), at(1, row, x)]));
  const maps = { data: Float32Array.from([0, 1].flatMap(square)), height: 1, width: 2, channels: 8 };
  const flat = unfolded(maps, 2);
  expect(flat).toMatchObject({ width: 4, height: 2, channels: 2 });
  const wanted = [0, 1].flatMap((row) => [0, 1, 2, 3].flatMap((x) => [at(0, row, x), at(1, row, x)]));
  expect([...flat.data]).toEqual(wanted);
});
