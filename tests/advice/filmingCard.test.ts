import { describe, expect, it } from 'vitest';
import { filmingCard, filmingNumbers } from '../../src/advice/filmingCard.ts';
import { filmingPlanSvg } from '../../src/advice/filmingPlan.ts';
import { takeCheck } from '../../src/advice/takeCheck.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import { buildTrack } from '../../src/track/build.ts';
import { value } from '../gait/support.ts';
import { walk } from '../support/kinematic.ts';

const HEIGHTS = [1.3, 1.5, 1.65, 1.8];
const metres = (m: number): string => `${m.toFixed(1)} m`;

describe('the numbers of the filming card', () => {
  it.each(HEIGHTS)(
    '%f m: from its place a phone that sees little has horse and strides in the picture',
    (withersM) => {
      const { side, cameraHeightM } = filmingNumbers(withersM);
      const { frames, options } = walk({
        ...{ withersM, strideLengthM: 1.05 * withersM, strides: side.strides + 0.63 },
        ...{ distanceM: side.nearestM, cameraHeightM, focalShare: 0.87, headAboveM: 0.35 * withersM },
      });
      const points = frames.flatMap(({ horse }) => Object.values(horse?.points ?? {}));
      for (const { x, y } of points) {
        expect(x).toBeGreaterThan(0);
        expect(x).toBeLessThan(options.widthPx - 1);
        expect(y).toBeGreaterThan(0);
        expect(y).toBeLessThan(options.heightPx - 1);
      }
      // Not much farther than is needed: the horse and its way fill most of the picture.
      const xs = points.map(({ x }) => x);
      expect((Math.max(...xs) - Math.min(...xs)) / options.widthPx).toBeGreaterThan(0.85);
    },
  );

  it('a walk filmed from there gives three strides and nothing to be found', () => {
    const { side, cameraHeightM } = filmingNumbers(1.62);
    const made = walk({
      ...{ strides: side.strides + 0.63, distanceM: side.nearestM, cameraHeightM, focalShare: 0.75 },
      ...{ noise: 1, dropOut: 0.08 },
    });
    const track = buildTrack(made.frames, null, [], { widthPx: 1920, heightPx: 1080 });
    const options = { withersM: 1.62 };
    const passes = analyseTrack(track, options);
    expect(passes.map(({ measures }) => value(measures.overtrackM).n)).toEqual([3]);
    expect(takeCheck(track, passes, options)).toEqual([]);
  });

  it('are those of a pinhole: 1.65 m, focal share .75 of 1920 px', () => {
    const { side, stand, line } = filmingNumbers(1.65);
    expect(side.heightPx).toBeCloseTo((0.75 * 1920 * 1.65) / side.nearestM, 9);
    expect((0.75 * 1920 * 1.65) / side.farthestM).toBeCloseTo(160, 9);
    // Half a base width of .12 H nearer, in a distance of four heights: 1.5 % (check: dZ / Z).
    expect((0.06 * 1.65) / stand.distanceM).toBeCloseTo(0.015, 9);
    expect(line.cornerM).toBeCloseTo(Math.hypot(side.wayM / 2, side.nearestM), 9);
  });

  it('lie where people film: 8 to 10 m for a horse of 1.65 m (common practice, no source), out of reach of a kick', () => {
    const { side } = filmingNumbers(1.65);
    expect(side.nearestM).toBeGreaterThan(7.5);
    expect(side.nearestM).toBeLessThan(10);
    for (const h of HEIGHTS) {
      const { side: s, line, stand } = filmingNumbers(h);
      expect(Math.min(s.nearestM, line.nearestM, stand.distanceM)).toBeGreaterThanOrEqual(4);
      expect(s.farthestM).toBeGreaterThan(s.nearestM);
    }
  });
});

describe('the card', () => {
  const { parts } = filmingCard(1.65, metres);
  const text = parts.flatMap(({ lines }) => lines).join(' ');

  it('says where, how far and how high for each way and the stand, and the cautions', () => {
    expect(parts.map((part) => part.of)).toEqual(['all', 'side', 'line', 'stand', 'handler', 'cautions']);
    expect(text).toMatch(/Stand 8\.3 m from the middle/);
    expect(text).toMatch(/lens about 0\.9 m high/);
    for (const word of ['helmet', 'kick line', 'venue', 'veterinarian', 'Children'])
      expect(text).toContain(word);
    expect(text).not.toMatch(/NaN|undefined|Infinity/);
  });

  it('gives lengths as it is told to', () => {
    const inFeet = filmingCard(1.65, (m) => `${(m / 0.3048).toFixed(0)} ft`);
    expect(inFeet.parts.flatMap(({ lines }) => lines).join(' ')).toContain('27 ft from the middle');
  });
});

describe('the plan of the ground', () => {
  it('is well-formed, with every place within the drawing and to scale', () => {
    const numbers = filmingNumbers(1.65);
    const svg = filmingPlanSvg(numbers, (m) => `<${m.toFixed(1)}>`);
    expect(svg).not.toMatch(/NaN|<\d/);
    for (const tag of ['svg', 'g', 'text'])
      expect(svg.split(`<${tag}`).length).toBe(svg.split(`</${tag}>`).length);
    const [, width, height] = /viewBox="0 0 (\S+) (\S+)"/.exec(svg) ?? [];
    const ends = [...svg.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map(
      ([, x, y]) => [Number(x), Number(y)] as const,
    );
    expect(ends.length).toBeGreaterThan(10);
    for (const [x, y] of ends) {
      expect(x).toBeGreaterThanOrEqual(0);
      expect(x).toBeLessThanOrEqual(Number(width));
      expect(y).toBeGreaterThanOrEqual(0);
      expect(y).toBeLessThanOrEqual(Number(height));
    }
    // The side line against the phone's distance from it.
    const [, x1, y1, x2] = /M([\d.]+) ([\d.]+) L([\d.]+) \2 /.exec(svg) ?? [];
    const [, , bottom] = /M(180\.0) ([\d.]+) L180\.0/.exec(svg) ?? [];
    const perM = (Number(x2) - Number(x1)) / numbers.side.wayM;
    expect((Number(bottom) - Number(y1)) / perM).toBeCloseTo(numbers.side.nearestM, 1);
  });
});
