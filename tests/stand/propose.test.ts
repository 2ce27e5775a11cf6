/** Frames for the photograph, of a made-up clip: the horse walks in, stands wrong, moves one leg, stands right. */
import { describe, expect, it } from 'vitest';
import type { PointName } from '../../src/points.ts';
import { faultsOf, USUAL_LIMITS } from '../../src/stand/faults.ts';
import { proposeFrames } from '../../src/stand/index.ts';
import type { StandPoints } from '../../src/stand/places.ts';
import { valuesOf } from '../../src/stand/quantities.ts';
import { LEAST_STILL_S, stillSpans } from '../../src/stand/still.ts';
import type { Track } from '../../src/track/types.ts';
import { numbers } from '../support/kinematic.ts';
import { CAMERA, noisy, pictureOf, placesOf, type MadeUp, type Where } from './made.ts';
import { expectFinite, trackOf } from './support.ts';

const FPS = 30;
const SQUARE = placesOf('left', () => 0);
/** Near hind, LH, back by .12 H: open towards the viewer. */
const OPEN = { LH: -0.12 };

/** The usual horse with limbs moved along, H. */
function standing(ahead: Partial<Record<'LF' | 'RF' | 'LH' | 'RH', number>>, headUp = 0): MadeUp {
  const limb = (name: string): number => {
    const key = `${name.startsWith('left') ? 'L' : 'R'}${name.includes('_fore_') ? 'F' : 'H'}`;
    return /_(fore|hind)_/.test(name) ? (ahead[key as keyof typeof ahead] ?? 0) : 0;
  };
  const places = Object.entries(SQUARE).map(([name, [along, aside, up]]): [string, Where] => [
    name,
    [along + limb(name), aside, up + (name === 'poll' ? headUp : 0)],
  ]);
  return { camera: CAMERA, rollRad: 0, places: Object.fromEntries(places) as MadeUp['places'] };
}

/** One picture each thirtieth of a second. */
function clip(seconds: number, at: (share: number) => MadeUp, seed = 5): StandPoints[] {
  const random = numbers(seed);
  const count = Math.round(seconds * FPS);
  return Array.from({ length: count }, (_, i) => {
    const made = at(i / count);
    return noisy(pictureOf(made), made, random);
  });
}
const track = (pictures: readonly StandPoints[]): Track =>
  trackOf(
    pictures.map((points, i) => ({ timeS: i / FPS, points })),
    'left',
    CAMERA.widthPx,
    CAMERA.heightPx,
  );
const codesAt = (of: Track, timeS: number): string[] =>
  proposeFrames(of, { withersM: 1.6 })
    .frames.find((frame) => Math.abs(frame.timeS - timeS) < 0.5 / FPS)
    ?.off.map(({ code }) => code) ?? ['none'];

describe('a clip of a horse that is stood up', () => {
  // Walks in for 1 s, stands with the left fore .08 H behind for 1.5 s, sets the other back within .3 s, stands right for 1.5 s.
  const whole = track([
    ...clip(1, (s) => standing({ ...OPEN, LF: -0.6 + 0.6 * s, RF: -0.3 + 0.38 * s }), 1),
    ...clip(1.5, () => standing({ ...OPEN, RF: 0.08 }), 2),
    ...clip(0.3, (s) => standing({ ...OPEN, RF: 0.08 * (1 - s) }), 3),
    ...clip(1.5, () => standing(OPEN), 4),
  ]);

  it('is still in two parts, neither while a leg moves', () => {
    const spans = stillSpans(whole);
    expect(spans).toHaveLength(2);
    const times = spans.map(({ first, last }) => [first / FPS, last / FPS]);
    // Means over .2 s to either side: borders are within that of the truth.
    for (const [i, truth] of [
      [1, 2.5],
      [2.8, 4.3],
    ].entries())
      truth.forEach((timeS, k) => expect(Math.abs((times[i]?.[k] ?? NaN) - timeS)).toBeLessThan(0.21));
  });

  it('has its best frames where the horse stands right, and says how far the fore is behind before that', () => {
    const { frames } = proposeFrames(whole, { withersM: 1.6 });
    expect(frames[0]?.timeS).toBeGreaterThan(2.8);
    expect(frames[0]?.off).toEqual([]);
    const ranks = frames.map(({ badness }) => badness);
    expect([...ranks].sort((a, b) => a - b)).toEqual(ranks);
    const wrong = frames.filter(({ timeS }) => timeS > 1.2 && timeS < 2.3);
    expect(wrong.length).toBeGreaterThan(25);
    for (const { off } of wrong) {
      expect(off).toMatchObject([{ code: 'foreBehind', limb: 'LF' }]);
      // .08 H = 12.8 cm; means over 13 frames of .42 and .97 %: 3 SDs are 1.5 cm.
      expect(Math.abs((off[0]?.byM ?? NaN) - 0.128)).toBeLessThan(0.015);
      expect(off[0]?.byM).toBeCloseTo(1.6 * (off[0]?.byH ?? NaN), 9);
    }
    expectFinite(frames);
  });

  it('has sizes in withers heights alone without a typed height', () => {
    const { frames } = proposeFrames(whole, { withersM: null });
    const off = frames.find(({ timeS }) => Math.abs(timeS - 2) < 0.01)?.off[0];
    expect(off?.byM).toBeUndefined();
    expect(Math.abs((off?.byH ?? NaN) - 0.08)).toBeLessThan(0.01);
  });

  it.each([
    ['hindNotOpen', standing({})],
    ['hindOpenAway', standing({ RH: -0.15 })],
    ['hindTooOpen', standing({ LH: -0.3 })],
    ['headHigh', standing(OPEN, 0.25)],
    ['headLow', standing(OPEN, -0.2)],
    ['leansOver', standing({ ...OPEN, LF: -0.12, RF: -0.12 })],
    ['leansBack', standing({ ...OPEN, LF: 0.2, RF: 0.2 })],
  ] as const)('tells %s', (code, made) => {
    expect(codesAt(track(clip(1, () => made)), 0.5)).toEqual([code]);
  });

  it('follows the limits that it is given', () => {
    const stood = track(clip(1, () => standing({})));
    const limits = { hindOpenH: [-0.02, 0.02] as const };
    expect(proposeFrames(stood, { withersM: 1.6, limits }).frames[0]?.off).toEqual([]);
  });

  it('says what is not seen, and ranks it behind', () => {
    const hidden = (points: StandPoints): StandPoints => ({ ...points, poll: null });
    const { frames } = proposeFrames(
      track([...clip(1, () => standing(OPEN)).map(hidden), ...clip(1, () => standing(OPEN))]),
      { withersM: 1.6 },
    );
    expect(frames[0]?.off).toEqual([]);
    expect(frames.at(-1)?.off).toEqual([{ code: 'unseen', unseen: 'head' }]);
  });

  it('has none of a horse that walks, or stands for less than .4 s', () => {
    const walking = clip(2, (s) => standing({ LF: 2 * s, RF: 2 * s, LH: 2 * s, RH: 2 * s }));
    expect(proposeFrames(track(walking), { withersM: 1.6 }).frames).toEqual([]);
    const short = track(clip(LEAST_STILL_S - 0.1, () => standing(OPEN)));
    expect(proposeFrames(short, { withersM: 1.6 }).frames).toEqual([]);
    expect(proposeFrames(track([]), { withersM: 1.6 }).frames).toEqual([]);
  });
});

describe('what is off, worked by hand', () => {
  const none = valuesOf('right', () => null);
  const values = {
    ...none,
    foreLeftAhead: 0.05,
    hindLeftAhead: 0.01,
    shoulderAheadOfToe: 0.15,
    pollAboveWithers: 0.1,
  };

  it('of a horse seen from the right, 1.5 m high', () => {
    expect(faultsOf(values, 'right', -12, 1.5, USUAL_LIMITS)).toEqual([
      { code: 'foreBehind', limb: 'RF', byH: 0.05, byM: 0.05 * 1.5 },
      // The near hind, RH, is .01 H behind and should be .05 H.
      { code: 'hindNotOpen', limb: 'RH', byH: 0.05 - 0.01, byM: (0.05 - 0.01) * 1.5 },
      { code: 'leansOver', limb: 'RF', byH: 0.15 - 0.12, byM: (0.15 - 0.12) * 1.5 },
      { code: 'headLow', byH: 0.15 - 0.1, byM: (0.15 - 0.1) * 1.5 },
      { code: 'oblique', deg: -12 },
    ]);
  });

  it('of a horse of which nothing is seen', () => {
    const codes = faultsOf(none, 'left', 0, null, USUAL_LIMITS);
    expect(codes.map(({ unseen }) => unseen)).toEqual(['forePair', 'hindPair', 'shoulder', 'head']);
  });
});

it('of a hoof that is hidden behind its fellow the horse can still stand', () => {
  const far: PointName = 'right_fore_hoof';
  const stood = track(clip(1, () => standing(OPEN)).map((points) => ({ ...points, [far]: null })));
  expect(stillSpans(stood)).toHaveLength(1);
  expect(codesAt(stood, 0.5)).toEqual(['unseen']);
});
