/** What must not change the answer. */
import { describe, expect, it } from 'vitest';
import { mirrorName, POINT_NAMES } from '../../src/points.ts';
import { analyseTrack } from '../../src/gait/index.ts';
import { MEASURE_NAMES, type MeasureName, type SidePass } from '../../src/gait/types.ts';
import type { Track, TrackPoint } from '../../src/track/types.ts';
import { walk, type WalkOptions } from '../support/kinematic.ts';
import { seeds, value } from './support.ts';

const NOISY: Partial<WalkOptions> = { fps: 60, noise: 1, dropOut: 0.08, strides: 4, obliquityDeg: 4 };

const passOf = (track: Track): SidePass => {
  const pass = analyseTrack(track, { withersM: 1.62 })[0];
  if (!pass) throw new Error('no pass');
  return pass;
};

function mapped(track: Track, change: (p: TrackPoint) => TrackPoint): Track {
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => [name, track.points[name].map((p) => p && change(p))]),
  ) as unknown as Track['points'];
  return { ...track, points };
}

function mirrored(track: Track): Track {
  const turned = mapped(track, (p) => ({ ...p, x: track.pictureWidthPx - 1 - p.x, vx: -p.vx }));
  const points = Object.fromEntries(
    POINT_NAMES.map((name) => [name, turned.points[mirrorName(name)]]),
  ) as unknown as Track['points'];
  const seenSide = track.seenSide.map((s) => (s === null ? null : s === 'left' ? 'right' : 'left'));
  return { ...turned, points, seenSide };
}

/** Every measure of both passes within a relative distance (of the stride's own size for those near zero). */
function expectAlike(a: SidePass, b: SidePass, relative: number, except: readonly MeasureName[] = []): void {
  for (const name of MEASURE_NAMES.filter((n) => !except.includes(n))) {
    const [x, y] = [value(a.measures[name]), value(b.measures[name])];
    for (const key of ['value', 'low', 'high'] as const) {
      expect(Math.abs(x[key] - y[key]), `${name}.${key}`).toBeLessThanOrEqual(
        relative * Math.max(Math.abs(x[key]), 0.2),
      );
    }
    expect(y.n, name).toBe(x.n);
  }
}

describe('the same walk seen otherwise', () => {
  const { track } = walk(NOISY);
  const plain = passOf(track);

  it('mirrored: the same values, direction and sides turned', () => {
    const other = passOf(mirrored(track));
    expect(other.direction).toBe('right');
    expect(other.nearSide).toBe('right');
    expectAlike(plain, other, 1e-6);
    expect(value(other.measures.overtrackM).side).toBe('right');
    // Phases are counted from the left hind whichever side is near: LF after LH becomes RF after RH.
    const [a, b] = [plain.measures.limbPhaseFraction, other.measures.limbPhaseFraction];
    const lag = value(b.RF).value - value(b.RH).value;
    expect(lag).toBeCloseTo(value(a.LF).value, 6);
  });

  it('later in the clip: the same values', () => {
    const later = passOf({ ...track, timesS: track.timesS.map((t) => t + 123.456) });
    expectAlike(plain, later, 1e-6);
    expect(later.startS - plain.startS).toBeCloseTo(123.456, 9);
  });

  it('in a picture of another size: the same values', () => {
    for (const by of [0.5, 2]) {
      const scaled = mapped(track, (p) => ({
        ...p,
        x: p.x * by + (by - 1) / 2,
        y: p.y * by,
        sdPx: p.sdPx * by,
      }));
      const size = { pictureWidthPx: track.pictureWidthPx * by, pictureHeightPx: track.pictureHeightPx * by };
      expectAlike(plain, passOf({ ...scaled, ...size }), 1e-3);
    }
  });

  it('played at half speed: durations double, lengths stay', () => {
    const slow = passOf({ ...track, timesS: track.timesS.map((t) => 2 * t) });
    const ratio = (name: MeasureName): number =>
      value(slow.measures[name]).value / value(plain.measures[name]).value;
    expect(ratio('strideDurationS')).toBeCloseTo(2, 1);
    expect(ratio('strideLengthM')).toBeCloseTo(1, 2);
    expect(Math.abs(ratio('overtrackM') - 1)).toBeLessThan(0.05);
    expect(ratio('lateralLagFraction')).toBeCloseTo(1, 1);
  });

  it('the same input gives the same output to the last bit, and is left as it was', () => {
    const before = JSON.stringify(track);
    expect(JSON.stringify(passOf(track))).toBe(JSON.stringify(plain));
    expect(JSON.stringify(track)).toBe(before);
  });
});

describe('frames dropped at random', () => {
  it.each([0.1, 0.2, 0.3])(
    '%f of them: values within their own intervals and near the truth',
    (dropFrames) => {
      for (const seed of seeds(8)) {
        const made = walk({ ...NOISY, obliquityDeg: 0, seed, dropFrames });
        const m = passOf(made.track).measures;
        const o = made.options;
        expect(Math.abs(value(m.strideLengthM).value / o.strideLengthM - 1)).toBeLessThan(0.02);
        expect(Math.abs(value(m.strideDurationS).value / o.strideDurationS - 1)).toBeLessThan(0.01);
        expect(Math.abs(value(m.overtrackM).value - o.overtrackM)).toBeLessThan(0.02);
        expect(Math.abs(value(m.lateralLagFraction).value - o.lag)).toBeLessThan(0.02);
      }
    },
  );
});
