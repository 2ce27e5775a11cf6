/** The drawn stand of sample-clips with exact points, against its truth. */
import { describe, expect, it } from 'vitest';
import { PARTS } from '../../src/stand/errors.ts';
import { proposeFrames, standMeasures, type Stand, type StandErrors } from '../../src/stand/index.ts';
import { stillPoints, stillSpans } from '../../src/stand/still.ts';
import { noisePct, numbers } from '../support/kinematic.ts';
import type { PointName } from '../../src/points.ts';
import { trueStandOf } from './drawnTruth.ts';
import { drawnTrack, mirrored, valueOf, truthOfStand } from './support.ts';

const { truth } = truthOfStand();
const track = drawnTrack(truth);
const expected = trueStandOf();
const [span] = stillSpans(track);
if (!span) throw new Error('no still span');
const { points, options } = stillPoints(track, span);

/** Bars for exact points: half a centimetre, half a degree. */
const bar = (name: string): number => (name.includes('Deg') ? 0.5 : 0.005);

describe('the drawn stand, from exact points', () => {
  it('is still from end to end', () => {
    expect(stillSpans(track)).toEqual([{ first: 0, last: 149, nearSide: 'left' }]);
  });

  const stand = standMeasures(points, truth.withersM, options);
  it.each(Object.entries(expected))('%s is %f', (name, value) => {
    expect(Math.abs(valueOf(stand, name).value - value)).toBeLessThan(bar(name));
  });

  it('is the same in the mirror', () => {
    const other = standMeasures(mirrored(points, 1280), truth.withersM, { ...options, nearSide: 'right' });
    expect(valueOf(other, 'hindLeftAheadM').value).toBeCloseTo(-valueOf(stand, 'hindLeftAheadM').value, 9);
    expect(valueOf(other, 'shoulderAheadOfToeM.right').value).toBeCloseTo(
      valueOf(stand, 'shoulderAheadOfToeM.left').value,
      9,
    );
  });

  it('is open towards the viewer, square before the camera, and says so', () => {
    expect(stand.hindPair).toEqual({ back: 'left', isBackNear: true });
    expect(stand.warnings).toEqual([]);
    expect(Math.abs(stand.oblique?.deg ?? NaN)).toBeLessThan(1);
  });

  it('is fit for the photograph all along; with the hind legs or the head otherwise it is not', () => {
    const { frames, notJudged } = proposeFrames(track, { withersM: truth.withersM });
    expect(frames).toHaveLength(150);
    expect(frames.every(({ off }) => off.length === 0)).toBe(true);
    expect(notJudged).toEqual(['ears']);
    const [best] = proposeFrames(track, { withersM: 1.55, limits: { hindOpenH: [0.02, 0.1] } }).frames;
    expect(best?.off).toHaveLength(1);
    expect(best?.off[0]).toMatchObject({ code: 'hindTooOpen', limb: 'LH' });
    // .24 m are .155 H.
    expect(Math.abs((best?.off[0]?.byM ?? NaN) - (0.24 - 0.155))).toBeLessThan(0.005);
  });
});

it('with the noise of check 34 on single frames every interval holds 93 in 100 or more', () => {
  const none = Object.fromEntries(PARTS.map((part) => [part, { forward: 0, up: 0 }])) as StandErrors;
  const random = numbers(3);
  const heightPx = 270.5;
  const stands = Array.from({ length: 100 }, (): Stand => {
    const noisyPoints = Object.entries(points).map(([name, p]) => {
      const [sx, sy] = noisePct(name as PointName, 'left');
      const by = (share: number): number => (share / 100) * heightPx * random.normal();
      return [name, p && { x: p.x + by(sx), y: p.y + by(sy) }];
    });
    const seen = Object.fromEntries(noisyPoints) as typeof points;
    return standMeasures(seen, truth.withersM, { ...options, looks: 1, errors: none });
  });
  for (const [name, value] of Object.entries(expected)) {
    const held = stands.filter((stand) => {
      const { low, high } = valueOf(stand, name);
      return low <= value && value <= high;
    });
    expect(held.length, name).toBeGreaterThanOrEqual(93);
  }
});
