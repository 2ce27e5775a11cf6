/** A skeleton worked by hand, far from the camera, so that nothing is nearer or farther: 100 px = 1 H = 1.6 m. */
import { describe, expect, it } from 'vitest';
import { NETWORK_ERRORS } from '../../src/gait/pointErrors.ts';
import { standMeasures, type StandOptions, type StandPoints } from '../../src/stand/index.ts';
import { measuresOf, mirrored, valueOf } from './support.ts';

const at = (x: number, y: number): { x: number; y: number } => ({ x, y });

/** It faces right; the trunk is as long as most, so that the picture looks square. */
const POINTS: StandPoints = {
  muzzle: at(570, 310),
  poll: at(545, 275),
  withers: at(500, 300),
  croup: at(445, 298),
  tailhead: at(423, 306),
  point_of_shoulder: at(527.5, 332),
  right_fore_knee: at(510, 370),
  right_fore_fetlock: at(510, 390),
  right_fore_hoof: at(520, 400),
  left_fore_knee: at(507, 370),
  left_fore_fetlock: at(505, 390),
  left_fore_hoof: at(515, 400),
  right_hind_hock: at(416, 370),
  right_hind_fetlock: at(420, 390),
  right_hind_hoof: at(430, 400),
  left_hind_hock: at(431, 370),
  left_hind_fetlock: at(437.5, 390),
  left_hind_hoof: at(445, 400),
};
const OPTIONS: StandOptions = {
  nearSide: 'right',
  pictureWidthPx: 1001,
  pictureHeightPx: 700,
  focalShare: { value: 1e5, sd: 1 },
};
const stand = standMeasures(POINTS, 1.6, OPTIONS);

/** m and degrees; the arithmetic is beside each. */
const BY_HAND: readonly (readonly [string, number])[] = [
  ['croupAboveWithersM', 0.032], // 2 px up
  ['foreLeftAheadM', -0.08], // 515 - 520
  ['hindLeftAheadM', 0.24], // 445 - 430
  ['shoulderAheadOfToeM.right', 0.12], // 527.5 - 520
  ['pollHeightM', 2.0], // 125 px
  ['pollAboveWithersM', 0.4], // 25 px
  ['shoulderToTailheadM', 1.672], // 527.5 - 423
  ['foreCannonLeanDeg.right', 0],
  ['foreCannonLeanDeg.left', 5.710593], // atan 2 / 20
  ['hockToFetlockLeanDeg.right', -11.309932], // atan 4 / 20
  ['hockToFetlockLeanDeg.left', -18.004162], // atan 6.5 / 20
  ['fetlockToToeSlopeDeg.RF', 45],
  ['fetlockToToeSlopeDeg.LF', 45],
  ['fetlockToToeSlopeDeg.RH', 45],
  ['fetlockToToeSlopeDeg.LH', 53.130102], // atan 10 / 7.5
  ['shoulderSlopeDeg', 49.325062], // atan 32 / 27.5
  ['neckSlopeDeg', 29.054604], // atan 25 / 45
  ['faceSlopeDeg', 54.462322], // atan 35 / 25
  ['cameraObliqueDeg', 0],
];

describe('a skeleton worked by hand', () => {
  it.each(BY_HAND)('%s is %f', (name, value) => {
    const found = valueOf(stand, name);
    expect(found.value).toBeCloseTo(value, 4);
    expect(found.low).toBeLessThan(value);
    expect(found.high).toBeGreaterThan(value);
  });

  it('has its lengths in withers heights too, without a typed height', () => {
    const bare = standMeasures(POINTS, null, OPTIONS);
    expect(valueOf(bare, 'hindLeftAheadH').value).toBeCloseTo(0.15, 6);
    expect(valueOf(bare, 'shoulderToTailheadH').value).toBeCloseTo(1.045, 6);
    expect(bare.measures.hindLeftAheadM).toEqual({ reason: 'withersHeightMissing' });
    expect(valueOf(bare, 'neckSlopeDeg').value).toBeCloseTo(29.054604, 4);
    for (const wrong of [0, -1, NaN, Infinity])
      expect(standMeasures(POINTS, wrong, OPTIONS).measures).toEqual(bare.measures);
  });

  it('stands back on the right hind, towards the viewer; of the forelegs 8 cm are not sure', () => {
    expect(stand.hindPair).toEqual({ back: 'right', isBackNear: true });
    const seenSurely = standMeasures(POINTS, 1.6, {
      ...OPTIONS,
      byHand: ['left_fore_hoof', 'right_fore_hoof'],
      obliqueDeg: { value: 0, sd: 1 },
    });
    expect(stand.forePair.back).toBeNull();
    expect(seenSurely.forePair).toEqual({ back: 'left', isBackNear: false });
  });

  it('says beside the lower joints that their angles change with the stance', () => {
    for (const name of ['foreCannonLeanDeg.left', 'fetlockToToeSlopeDeg.LH', 'hockToFetlockLeanDeg.right'])
      expect(valueOf(stand, name).notes).toContain('jointsFollowStance');
    expect(valueOf(stand, 'shoulderSlopeDeg').notes).toEqual(['skinMoves']);
    expect(valueOf(stand, 'neckSlopeDeg').notes).toEqual([]);
  });

  it('refuses what the points do not allow, and says why', () => {
    const { measures } = stand;
    expect(measures.hockAngleDeg).toEqual({ left: { reason: 'noStifle' }, right: { reason: 'noStifle' } });
    expect(measures.bodyLengthM).toEqual({ reason: 'noButtock' });
    expect(measures.girthDepthM).toEqual({ reason: 'noOutline' });
    expect(measures.throatThicknessM).toEqual({ reason: 'noOutline' });
    expect(measures.shoulderAheadOfToeM.left).toEqual({ reason: 'farSide' });
    const without = standMeasures({ ...POINTS, poll: null }, 1.6, OPTIONS).measures;
    expect(without.neckSlopeDeg).toEqual({ reason: 'pointHidden' });
    expect(without.croupAboveWithersM).toEqual(measures.croupAboveWithersM);
    const scaleless = standMeasures({ ...POINTS, withers: null }, 1.6, OPTIONS);
    expect(scaleless.measures.foreLeftAheadM).toEqual({ reason: 'scaleUnsure' });
    const together = { ...POINTS, right_fore_knee: at(510, 390.5) };
    const { foreCannonLeanDeg } = standMeasures(together, 1.6, OPTIONS).measures;
    expect(foreCannonLeanDeg.right).toEqual({ reason: 'pointsUnsure' });
  });
});

describe('intervals', () => {
  const half = (options: Partial<StandOptions>, name: string): number => {
    const { low, high } = valueOf(standMeasures(POINTS, 1.6, { ...OPTIONS, ...options }), name);
    return (high - low) / 2;
  };

  it('of the poll rest on both heights and the stick, by hand', () => {
    // Withers and poll each with .4 % from frame to frame. Poll above withers, p = .25: the withers move it by 1 + p (the scale
    // as well), the poll by 1. The toes move the scale, too, each by a fourth of p: a tenth at most. The stick: .25 of 1 cm.
    const { withersUp, pollUp } = NETWORK_ERRORS;
    const H = 100 * Math.hypot(1.25 * Math.hypot(withersUp, 0.004), Math.hypot(pollUp, 0.004));
    const byHand = 1.96 * Math.hypot(1.6 * H, 0.25);
    expect(100 * half({}, 'pollAboveWithersM')).toBeGreaterThan(byHand);
    expect(100 * half({}, 'pollAboveWithersM')).toBeLessThan(1.1 * byHand);
  });

  it('of more frames are narrower by what differs from frame to frame alone', () => {
    const name = 'foreLeftAheadM';
    const square = { obliqueDeg: { value: 0, sd: 0.5 } };
    const [one, many] = [half(square, name), half({ ...square, looks: 1e9 }, name)];
    // Shared: what a pass and what a stance shares of each toe; from frame to frame .42 % of the near one, .97 % of the far one
    // (check 34).
    const shared = 2 * NETWORK_ERRORS.toeForward ** 2 + 2 * NETWORK_ERRORS.toeForwardOfStance ** 2;
    const expected = (1.96 * 1.6) ** 2 * (0.0042 ** 2 + 0.0097 ** 2);
    // The scale, which the withers' .4 % moves as well, adds less than .2 % to that.
    expect((one ** 2 - many ** 2) / expected).toBeGreaterThan(0.9999);
    expect((one ** 2 - many ** 2) / expected).toBeLessThan(1.002);
    expect(many).toBeGreaterThan(1.96 * 1.6 * Math.sqrt(shared));
  });

  it('grow with the doubt about how square the camera stood', () => {
    const lined = half({ obliqueDeg: { value: 0, sd: 1 } }, 'foreLeftAheadM');
    expect(half({}, 'foreLeftAheadM')).toBeGreaterThan(1.1 * lined);
  });
});

it('mirrored points give mirrored sides exactly', () => {
  const leaning = { ...POINTS, left_hind_hoof: at(445, 396) };
  const there = standMeasures(leaning, 1.6, { ...OPTIONS, focalShare: { value: 0.8, sd: 0.1 } });
  const options: StandOptions = { ...OPTIONS, nearSide: 'left', focalShare: { value: 0.8, sd: 0.1 } };
  const back = standMeasures(mirrored(leaning, OPTIONS.pictureWidthPx), 1.6, options);
  const turned = (name: string): string =>
    name
      .replace(/\.(left|right)$/, (side) => (side === '.left' ? '.right' : '.left'))
      .replace(/\.([LR])([HF])$/, (_, side: string, end: string) => `.${side === 'L' ? 'R' : 'L'}${end}`);
  const others = measuresOf(back);
  for (const [name, one] of measuresOf(there)) {
    const other = others.get(turned(name));
    if (!other || 'reason' in one || 'reason' in other) {
      expect(other, name).toEqual(one);
      continue;
    }
    const isPair = name.includes('LeftAhead');
    expect(other.value, name).toBeCloseTo(isPair ? -one.value : one.value, 9);
    expect(other.low, name).toBeCloseTo(isPair ? -one.high : one.low, 9);
    expect(other.high, name).toBeCloseTo(isPair ? -one.low : one.high, 9);
  }
  expect(back.hindPair).toEqual({ back: 'left', isBackNear: true });
});
