/** All lengths in withers heights too, for the clip of a horse whose height nobody typed in. */
import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import { spanData } from '../../src/gait/series.ts';
import type { GroundDistance, SidePass } from '../../src/gait/types.ts';
import type { Track } from '../../src/track/types.ts';
import { walk } from '../support/kinematic.ts';
import { value } from './support.ts';

const { track, options } = walk({ noise: 1, obliquityDeg: 12 });
const H = options.withersM;
const passOf = (withersM: number | null, groundDistance?: GroundDistance): SidePass => {
  const [pass] = analyseTrack(track, { withersM, ...(groundDistance ? { groundDistance } : {}) });
  if (!pass) throw new Error('no pass');
  return pass;
};
const [typed, untyped] = [passOf(H), passOf(null)];

describe('in withers heights', () => {
  it('each overtrack has its own interval, the same with and without a typed height', () => {
    expect(untyped.overtracks.length).toBeGreaterThan(3);
    untyped.overtracks.forEach(({ inH, inM, m, fore, hind }, i) => {
      if (!inH) throw new Error('no value');
      const one = value(inH);
      expect(one.value).toBeCloseTo((hind.printH ?? NaN) - (fore.printH ?? NaN), 9);
      expect(one.low).toBeLessThan(options.overtrackM / H);
      expect(one.high).toBeGreaterThan(options.overtrackM / H);
      expect([m, inM]).toEqual([null, { reason: 'withersHeightMissing' }]);
      expect(typed.overtracks[i]?.inH).toEqual(inH);
      expect(typed.overtracks[i]?.m).toBeCloseTo(one.value * H, 9);
    });
  });
  it('prints, head and croup are those in metres over the height', () => {
    typed.stances.forEach(({ printM, printH, seenS }, i) => {
      if (printM !== null) expect(printM / H).toBeCloseTo(printH ?? NaN, 9);
      expect(untyped.stances[i]?.printH).toBe(printH);
      expect(seenS?.to).toBeGreaterThan(seenS?.from ?? NaN);
    });
    expect(typed.headH).toEqual(untyped.head);
    const { headAboveWithersH, headNodH, croupAboveWithersH } = untyped.inWithersHeights;
    for (const [h, m] of [
      [headAboveWithersH, typed.measures.headAboveWithersM],
      [headNodH, typed.measures.headNodM],
      [croupAboveWithersH, typed.measures.croupAboveWithersM],
    ] as const) {
      if (!h) throw new Error('no value');
      expect(value(h).value * H).toBeCloseTo(value(m).value, 9);
    }
  });
});

it('a marked distance that gives no scale is told apart from no height at all', () => {
  const spot = { x: 500, y: 900 };
  const unread = passOf(null, { kind: 'distance', id: 'a', timeS: 1, from: spot, to: spot, distanceM: 3 });
  expect(unread.measures.strideLengthM).toEqual({ reason: 'distanceUnread' });
  expect(untyped.measures.strideLengthM).toEqual({ reason: 'withersHeightMissing' });
});

it('a span of 150,000 frames is read', () => {
  const many = 150_000;
  const none = Object.fromEntries(Object.keys(track.points).map((name) => [name, []]));
  const long: Track = {
    ...track,
    timesS: Array.from({ length: many }, (_, i) => i / 60),
    toStill: Array.from({ length: many }, (_, i) => ({ a: 1, b: 0, tx: i / 100, ty: 0 })),
    points: none as unknown as Track['points'],
  };
  const span = { startS: 0, endS: many / 60, direction: 'left', nearSide: 'left' } as const;
  expect(spanData(long, span).panPx).toBeCloseTo((many - 1) / 100, 6);
});
