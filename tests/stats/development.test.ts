import { describe, expect, it } from 'vitest';
import { analyseTrack } from '../../src/gait/index.ts';
import { dayRepeats, development, type Series, type Visit } from '../../src/stats/development.ts';
import { STATS_REASONS } from '../../src/stats/words.ts';
import { walk } from '../support/kinematic.ts';

const m = (value: number, half = 0.01): object => ({
  ...{ value, low: value - half, high: value + half },
  ...{ n: 4, side: 'left' },
});
const visit = (date: string, withersM: number | null, ...passes: Visit['passes'][number][]): Visit => ({
  ...{ date, withersM, passes },
});
const pass = (strideM: number, croupM = 0.02): Visit['passes'][number] => ({
  measures: {
    ...{ strideLengthM: m(strideM), speedMps: m(1.4), croupAboveWithersM: m(croupM) },
    ...{ overtrackM: { reason: 'hoofHidden' }, limbPhaseFraction: { LH: m(0, 0), LF: m(0.25) } },
    head: { toleranceM: 0.08, poll: { asideM: m(0.13), leftShare: 0.5 } },
  },
  inWithersHeights: { strideLengthH: m(1.02, 0.004) },
});
const seriesOf = (all: ReturnType<typeof development>, name: string): Series => {
  const one = all.series.get(name);
  if (!one) throw new Error(`no series ${name}`);
  return one;
};

describe('development', () => {
  const grown = development('2023-04-17', [
    visit('2024-04-17', 1.42, pass(1.5, 0.05), pass(1.46, 0.03)),
    visit('2023-10-17', 1.31, pass(1.3)),
    visit('2024-13-01', 1.5, pass(1.6)),
    visit('2022-10-17', 1.5, pass(1.6)),
    visit('2028-01-01', null, pass(1.8)),
  ]);
  it('has each measure by age, with interval and strides, as it is and in withers heights', () => {
    const stride = seriesOf(grown, 'strideLengthM');
    expect(stride.points.map((p) => [p.age.months, p.value])).toEqual([
      ...[
        [6, 1.3],
        [12, 1.5],
        [12, 1.46],
      ],
      [expect.closeTo(56.48, 2), 1.8],
    ]);
    expect(stride.points[0]).toEqual({
      ...{ date: '2023-10-17', age: { days: 183, months: 6 } },
      ...{ value: 1.3, low: 1.29, high: 1.31, n: 4 },
    });
    // What the core gives in withers heights counts; else metres are divided, where there is a height.
    expect(seriesOf(grown, 'strideLengthH').points.map((p) => p.value)).toEqual([1.02, 1.02, 1.02, 1.02]);
    expect(seriesOf(grown, 'head.poll.asideH').points.map((p) => p.value)).toEqual([
      0.13 / 1.31,
      0.13 / 1.42,
      0.13 / 1.42,
    ]);
    expect(seriesOf(grown, 'limbPhaseFraction.LF').points).toHaveLength(4);
    expect([...grown.series.keys()]).not.toContain('head.toleranceM');
    expect([...grown.series.keys()]).not.toContain('speedHps');
  });
  it('has gaps with their reasons', () => {
    const { points, gaps } = seriesOf(grown, 'overtrackM');
    expect(points).toEqual([]);
    expect(gaps.map((g) => g.reason)).toEqual(Array(4).fill('hoofHidden'));
    expect(grown.unplaced.map(({ reason }) => reason)).toEqual(['notADate', 'beforeBirth']);
    for (const { reason } of grown.unplaced) expect(STATS_REASONS[reason]).not.toBe('');
  });
  it('has withers and croup above the ground', () => {
    const withers = seriesOf(grown, 'withersHeightM').points;
    expect(withers.map((p) => p.value)).toEqual([1.31, 1.42]);
    const croup = seriesOf(grown, 'croupHeightM').points;
    expect(croup.map((p) => p.value)).toEqual([1.31 + 0.02, 1.42 + 0.05, 1.42 + 0.03]);
    // A stick's SD of 1 cm and the interval of +-1 cm.
    expect((croup[0]?.high ?? 0) - (croup[0]?.value ?? 0)).toBeCloseTo(Math.hypot(0.0196, 0.01), 5);
  });
  it('has the expected adult height where the table of growth has the age', () => {
    expect(grown.adultHeightM.map((p) => p.value)).toEqual([1.31 / 0.82, 1.42 / 0.89]);
  });
  it('has the repeats of each day', () => {
    const days = [visit('2024-01-01', 1.4, pass(1.5), pass(1.6)), visit('2024-01-01', 1.4, pass(1.7))];
    expect(dayRepeats([...days, visit('2024-02-01', 1.4, pass(1.8))], 'strideLengthM')).toEqual([
      [1.5, 1.6, 1.7],
      [1.8],
    ]);
    expect(dayRepeats(days, 'overtrackM')).toEqual([]);
  });
});

it('takes a pass of the core as it is', () => {
  const [side] = analyseTrack(walk({ fps: 60, strides: 4 }).track, { withersM: 1.62 });
  if (!side) throw new Error('no pass');
  const { series } = development('2022-05-01', [visit('2026-05-01', 1.62, side)]);
  const measured = Object.values(side.measures).filter((x) => 'value' in x).length;
  expect(measured).toBeGreaterThan(8);
  for (const name of [
    ...Object.keys(side.inWithersHeights),
    'strideLengthM',
    'limbPhaseFraction.RF',
    'croupHeightM',
  ])
    expect(seriesOf({ series } as ReturnType<typeof development>, name).points, name).toHaveLength(1);
});
